//! A list of holes: "1-4", "5", "1,2,7-9".

use super::csv_sheet::MOST_HOLES;

/// Reads a list of holes; none where it is no such list.
pub(super) fn holes(text: &str) -> Option<Vec<u32>> {
    let number = |text: &str| {
        let text = text.trim();
        let digits = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
        text.parse::<u32>().ok().filter(|hole| digits && (1..=MOST_HOLES).contains(hole))
    };
    let mut all = Vec::new();
    for part in text.split(',') {
        let (first, last) = part.split_once(['-', '\u{2013}']).unwrap_or((part, part));
        let (first, last) = (number(first)?, number(last)?);
        if first > last || (first..=last).any(|hole| all.contains(&hole)) {
            return None;
        }
        all.extend(first..=last);
    }
    Some(all)
}

#[cfg(test)]
mod tests {
    use super::holes;

    #[test]
    fn lists_and_ranges() {
        assert_eq!(holes("1-4"), Some(vec![1, 2, 3, 4]));
        assert_eq!(holes(" 5 "), Some(vec![5]));
        assert_eq!(holes("1,2, 7-9"), Some(vec![1, 2, 7, 8, 9]));
        for text in ["", "0", "4-1", "1,1", "1-3,2", "a", "1-", "-3", "1--3", "1000", "+1", "1-99999999999"] {
            assert_eq!(holes(text), None, "{text:?}");
        }
    }
}
