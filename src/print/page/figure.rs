//! A picture with its caption.

use maud::{Markup, PreEscaped, html};

/// A picture of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    /// The picture, one SVG document.
    pub svg: String,
    /// What it shows; nothing where the picture says it itself.
    pub caption: String,
}

impl Figure {
    /// The figure under its number.
    pub(in crate::print) fn to_html(&self, number: usize) -> Markup {
        html! {
            figure id={ "figure-" (number) } {
                div.drawing { (PreEscaped(with_own_ids(&self.svg, number))) }
                @if !self.caption.is_empty() { figcaption { b { "Figure " (number) "." } " " (self.caption) } }
            }
        }
    }
}

/// The SVG with its names made its own: in one page no two drawings may share one.
fn with_own_ids(svg: &str, number: usize) -> String {
    let own = |before: &str| (before.to_owned(), format!("{before}figure-{number}-"));
    let named = [" id=\"", "url(#", "href=\"#"].map(own);
    let body = svg.find("<svg").map_or(svg, |start| &svg[start..]);
    named.iter().fold(body.to_owned(), |svg, (before, after)| svg.replace(before, after))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drawings_do_not_share_names() {
        let svg = "<?xml version=\"1.0\"?><svg><clipPath id=\"a\"/><g clip-path=\"url(#a)\"/></svg>";
        let own = with_own_ids(svg, 3);
        assert_eq!(own, "<svg><clipPath id=\"figure-3-a\"/><g clip-path=\"url(#figure-3-a)\"/></svg>");
    }
}
