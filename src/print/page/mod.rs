//! What every printed page shares: the frame of one HTML file that needs nothing else, figures, the safety words, the look.

mod figure;
mod mark;
mod plates;
mod safety;

pub use figure::Figure;
pub(crate) use mark::Mark;
#[cfg(feature = "page")]
pub(crate) use plates::ROWS;
pub(super) use plates::{Place, Plates};
pub(super) use safety::safety;

use maud::{DOCTYPE, Markup, PreEscaped, html};

/// The look of a page that is read: type, tables, figures, the safety box; on screens and on paper.
pub(super) const STYLE: &str = include_str!("style.css");

/// A whole document: title, styles one after the other, body. Letters are text and become safe on their way; the styles are
/// ours.
pub(super) fn document(title: &str, styles: &[&str], body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { @for style in styles { (PreEscaped(style)) } }
            }
            body { (body) }
        }
    };
    page.into_string()
}

/// Numbers with their units on one line.
pub(super) fn keep_units(html: &str) -> String {
    const UNITS: [&str; 11] = ["Pa", "kPa", "mm", "cm", "ms", "s", "Hz", "dB", "min", "cents", "%"];
    let mut kept = String::with_capacity(html.len());
    let mut rest = html;
    while let Some(space) = rest.find(' ') {
        let (before, after) = rest.split_at(space);
        let word = after[1..].split(|c: char| !c.is_alphabetic() && c != '%').next().unwrap_or_default();
        let joined = before.ends_with(|c: char| c.is_ascii_digit()) && UNITS.contains(&word);
        kept.push_str(before);
        kept.push(if joined { '\u{a0}' } else { ' ' });
        rest = &after[1..];
    }
    kept + rest
}

#[cfg(test)]
mod tests {
    use super::keep_units;

    #[test]
    fn a_number_keeps_its_unit() {
        assert_eq!(
            keep_units("from 29.7 Pa (3.0 mm of water), 12 sheets"),
            "from 29.7\u{a0}Pa (3.0\u{a0}mm of water), 12 sheets"
        );
        assert_eq!(keep_units("of 10 mm\u{b2} at 5 % x"), "of 10\u{a0}mm\u{b2} at 5\u{a0}% x");
        assert_eq!(keep_units("viewBox=\"0 0 9 9\" 3 sweet"), "viewBox=\"0 0 9 9\" 3 sweet");
    }
}
