//! How much room a text takes, without a font: widths of a wide sans-serif, so that narrower fonts leave room to spare.

use super::marks::{Anchor, Area, Point};

/// Height of a line of text, in sizes of its type.
pub(super) const LINE: f64 = 1.3;

/// Width of a text set at `size`.
pub(super) fn width(text: &str, size: f64) -> f64 {
    text.chars().map(ems).sum::<f64>() * size
}

/// The rectangle a text fills when its baseline's chosen end is at `place`.
pub(super) fn area(text: &str, size: f64, place: Point, anchor: Anchor) -> Area {
    let width = width(text, size);
    let left = match anchor {
        Anchor::Start => place.x,
        Anchor::Middle => place.x - width / 2.0,
        Anchor::End => place.x - width,
    };
    Area { left, top: place.y - 0.85 * size, right: left + width, bottom: place.y + 0.25 * size }
}

/// The text in lines no wider than `width_limit`; a word that is wider by itself is cut.
pub(super) fn wrap(text: &str, size: f64, width_limit: f64) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace().flat_map(|word| pieces(word, size, width_limit)) {
        let longer = if line.is_empty() { word.clone() } else { format!("{line} {word}") };
        if width(&longer, size) <= width_limit || line.is_empty() {
            line = longer;
        } else {
            lines.push(std::mem::replace(&mut line, word));
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// The text itself, or as much of its beginning as fits, ending in an ellipsis.
pub(super) fn shorten(text: &str, size: f64, width_limit: f64) -> String {
    if width(text, size) <= width_limit {
        return text.to_owned();
    }
    let mut short = String::new();
    for character in text.chars() {
        if width(&short, size) + (ems(character) + ems('…')) * size > width_limit {
            break;
        }
        short.push(character);
    }
    short + "…"
}

fn pieces(word: &str, size: f64, width_limit: f64) -> Vec<String> {
    let mut pieces = vec![String::new()];
    let mut used = 0.0;
    for character in word.chars() {
        let wide = ems(character) * size;
        if used + wide > width_limit && used > 0.0 {
            pieces.push(String::new());
            used = 0.0;
        }
        pieces.last_mut().expect("never empty").push(character);
        used += wide;
    }
    pieces
}

fn ems(character: char) -> f64 {
    match character {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | ' ' | 'I' => 0.32,
        '(' | ')' | '[' | ']' | '-' | 'f' | 't' | 'r' | '/' => 0.4,
        'm' | 'M' | 'w' | 'W' | '%' | '@' | '—' | '…' | '<' | '>' | '+' | '−' | '±' | '=' | '≥' | '≤' | '×' => {
            0.9
        }
        'A'..='Z' | '&' => 0.72,
        ' '..='~' => 0.62,
        '\u{a0}'..='\u{24f}' | '–' | '♯' | '♭' => 0.62,
        _ => 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_wider_than_asked() {
        let text = format!("some words and one {} that is too long", "x".repeat(200));
        let lines = wrap(&text, 10.0, 150.0);
        assert!(lines.iter().all(|line| width(line, 10.0) <= 150.0));
        assert_eq!(lines.concat().replace(' ', ""), text.replace(' ', ""));
        assert!(wrap("  ", 10.0, 150.0).is_empty());
    }

    #[test]
    fn a_shortened_text_fits() {
        assert_eq!(shorten("C4", 10.0, 150.0), "C4");
        assert!(width(&shorten(&"x".repeat(90), 10.0, 150.0), 10.0) <= 150.0);
    }
}
