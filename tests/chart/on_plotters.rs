//! Every picture drawn by `plotters`, a plotting library that shares nothing with our writer of SVG, looks as the picture does.
//! Each is left in `target/tmp/on_plotters`, to be looked at.

use std::path::Path;

use crate::pictures::pictures;
use crate::support::one_reed::{invented_attack, invented_bench, invented_filing, invented_modes, invented_spectrum};
use freereed::chart::Picture;
use freereed::chart::png::to_png;
use plotters::prelude::{IntoDrawingArea, SVGBackend};
use resvg::tiny_skia::Pixmap;

/// Pixels on a side of the blocks whose lightness is compared: a letter or a line set a little aside is in the same one, or in
/// the next.
const BLOCK: usize = 12;
const WIDTH: u32 = 870;

fn by_plotters(picture: &Picture) -> String {
    let (width, height) = picture.size();
    let mut svg = String::new();
    {
        let size = ((10.0 * width) as u32, (10.0 * height) as u32);
        let area = SVGBackend::with_string(&mut svg, size).into_drawing_area();
        picture.draw_on(&area).unwrap();
        area.present().unwrap();
    }
    svg
}

/// Mean lightness, 0 to 1, of the blocks in each row.
fn blocks(png: &[u8]) -> Vec<Vec<f64>> {
    let picture = Pixmap::decode_png(png).unwrap();
    let (width, height) = (picture.width() as usize, picture.height() as usize);
    let light = |x: usize, y: usize| {
        let pixel = picture.pixels()[y * width + x];
        f64::from(u32::from(pixel.red()) + u32::from(pixel.green()) + u32::from(pixel.blue())) / 765.0
    };
    let block = |left: usize, top: usize| {
        let all = (top..top + BLOCK).flat_map(|y| (left..left + BLOCK).map(move |x| (x, y)));
        all.map(|(x, y)| light(x, y)).sum::<f64>() / (BLOCK * BLOCK) as f64
    };
    let rows = (0..height / BLOCK).map(|row| (0..width / BLOCK).map(|k| block(k * BLOCK, row * BLOCK)).collect());
    rows.collect()
}

/// Mean and largest difference of lightness.
fn difference(one: &[Vec<f64>], other: &[Vec<f64>]) -> (f64, f64) {
    let rows = one.iter().zip(other);
    let off: Vec<f64> = rows.flat_map(|(a, b)| a.iter().zip(b).map(|(a, b)| (a - b).abs())).collect();
    (off.iter().sum::<f64>() / off.len() as f64, off.iter().copied().fold(0.0, f64::max))
}

#[test]
fn plotters_shows_what_the_picture_shows() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("on_plotters");
    std::fs::create_dir_all(&folder).unwrap();
    let of_one = [
        ("bench", invented_bench().picture()),
        ("modes", invented_modes().picture()),
        ("filing", invented_filing().picture()),
        ("attack", invented_attack().picture()),
        ("spectrum", invented_spectrum().picture()),
    ];
    let all = of_one.map(|(name, picture)| (name.to_owned(), picture)).into_iter().chain(pictures());
    for (name, picture) in all {
        let [theirs, own] = [by_plotters(&picture), picture.to_svg()].map(|svg| to_png(&svg, WIDTH).unwrap());
        std::fs::write(folder.join(format!("{name}.png")), &theirs).unwrap();
        let [theirs, own] = [theirs, own].map(|png| blocks(&png));
        let ((mean, most), flat) = (difference(&theirs, &own), vec![vec![1.0; own[0].len()]; own.len()]);
        let drawn = difference(&own, &flat).0;
        println!("{name}: lightness off by {mean:.4}, at most {most:.2}; an empty page would be off by {drawn:.4}");
        assert!(mean < 0.25 * drawn + 0.003 && most < 0.3, "{name}: {mean} of {drawn}, {most} in one place");
    }
}
