//! A chart as a PNG: the same SVG, drawn with fonts that are part of the program, so that it looks the same everywhere.

use std::sync::{Arc, LazyLock};

use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg::{Group, Node, Options, Tree, fontdb};

/// Subsets of DejaVu Sans: Latin, Greek, Cyrillic and the signs of measures and notes.
const REGULAR: &[u8] = include_bytes!("../../data/fonts/DejaVuSans-subset.ttf");
const BOLD: &[u8] = include_bytes!("../../data/fonts/DejaVuSans-Bold-subset.ttf");
const FAMILY: &str = "DejaVu Sans";

/// Narrowest and widest picture that is drawn (pixels).
pub const WIDTHS_PX: (u32, u32) = (100, 8000);
/// Highest picture: a chart that is higher than this is no chart (pixels).
const HIGHEST_PX: f32 = 20_000.0;

/// Why a picture was not drawn.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PngError {
    /// The width is out of range.
    #[error("a PNG is {least} to {most} pixels wide, not {0}", least = WIDTHS_PX.0, most = WIDTHS_PX.1)]
    Width(u32),
    /// The drawing is far too high for its width.
    #[error("the picture would be {0} pixels high; make it narrower")]
    Height(u32),
    /// The text is not an SVG document.
    #[error("not a drawing: {0}")]
    Drawing(String),
}

/// An SVG document as a PNG, `width_px` wide and as high as it then is.
///
/// # Errors
/// A width outside [`WIDTHS_PX`], or text that is no SVG.
///
/// ```
/// use freereed::chart::PitchChart;
/// use freereed::chart::png::to_png;
/// let chart = PitchChart {
///     set_name: "a set".into(),
///     reeds: vec![],
///     tolerance_cents: None,
///     small_print: String::new(),
/// };
/// let png = to_png(&chart.picture().to_svg(), 600).unwrap();
/// assert!(png.starts_with(b"\x89PNG"));
/// ```
pub fn to_png(svg: &str, width_px: u32) -> Result<Vec<u8>, PngError> {
    if !(WIDTHS_PX.0..=WIDTHS_PX.1).contains(&width_px) {
        return Err(PngError::Width(width_px));
    }
    let tree = tree(svg)?;
    let scale = width_px as f32 / tree.size().width();
    let height = (scale * tree.size().height()).ceil();
    if height > HIGHEST_PX {
        return Err(PngError::Height(height as u32));
    }
    let unusable = |why: &dyn std::fmt::Display| PngError::Drawing(why.to_string());
    let mut picture = Pixmap::new(width_px, height as u32).ok_or_else(|| unusable(&"it has no height"))?;
    // The last row of pixels may reach below the page.
    picture.fill(Color::WHITE);
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut picture.as_mut());
    picture.encode_png().map_err(|error| unusable(&error))
}

/// Characters in an SVG document's texts for which there is no glyph: a PNG shows an empty box in their place. In order,
/// each once.
///
/// # Errors
/// Text that is no SVG.
pub fn without_glyph(svg: &str) -> Result<Vec<char>, PngError> {
    let mut missing = Vec::new();
    collect_missing(tree(svg)?.root(), &mut missing);
    missing.sort_unstable();
    missing.dedup();
    Ok(missing)
}

fn collect_missing(group: &Group, missing: &mut Vec<char>) {
    for node in group.children() {
        match node {
            Node::Group(group) => collect_missing(group, missing),
            Node::Text(text) => {
                let glyphs = text.layouted().iter().flat_map(|span| &span.positioned_glyphs);
                // By the OpenType specification glyph 0 stands for every missing one.
                missing.extend(glyphs.filter(|glyph| glyph.id.0 == 0).flat_map(|glyph| glyph.text.chars()));
            }
            _ => {}
        }
    }
}

fn tree(svg: &str) -> Result<Tree, PngError> {
    static FONTS: LazyLock<Arc<fontdb::Database>> = LazyLock::new(|| {
        let mut fonts = fontdb::Database::new();
        fonts.load_font_data(REGULAR.to_vec());
        fonts.load_font_data(BOLD.to_vec());
        fonts.set_sans_serif_family(FAMILY);
        Arc::new(fonts)
    });
    let options = Options { fontdb: FONTS.clone(), font_family: FAMILY.to_owned(), ..Options::default() };
    Tree::from_str(svg, &options).map_err(|error| PngError::Drawing(error.to_string()))
}
