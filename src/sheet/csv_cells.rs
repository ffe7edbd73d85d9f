//! A CSV text taken apart into cells, each with its place and whether it stood in quotes.
//!
//! RFC 4180 with what spreadsheets do besides: comma, semicolon or tab, any line ending, blank lines. (The `csv` crate
//! tells neither the place of a cell nor whether it was quoted, and both are needed here: the one for error texts, the
//! other because only a quoted cell may hold a decimal comma among commas.)

use std::iter::Peekable;
use std::ops::Range;
use std::str::CharIndices;

use super::error::{Problem, SheetError};
use super::source::Source;

/// One cell.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cell {
    /// Its text, unquoted and trimmed.
    pub(super) text: String,
    /// Its bytes in the file, quotes included.
    pub(super) span: Range<usize>,
    /// Whether it stood in quotes.
    pub(super) quoted: bool,
}

/// The cells of a text and the mark between them.
#[derive(Debug)]
pub(super) struct Cells {
    pub(super) separator: char,
    /// Rows that are not blank, from the heading on.
    pub(super) rows: Vec<Vec<Cell>>,
}

/// Takes a text apart.
///
/// # Errors
/// Quotes that do not close, or close in the middle of a cell.
pub(super) fn cells(source: &Source) -> Result<Cells, SheetError> {
    let text: &str = source.text();
    let separator = separator(text);
    let mut scan = Scan { text, separator, chars: text.char_indices().peekable() };
    let (mut rows, mut row) = (Vec::new(), Vec::new());
    while scan.chars.peek().is_some() {
        let cell = scan.cell().map_err(|(span, message, cure)| {
            let problem = Problem::at(&source.place(span), "", message).without_value().cure(cure);
            SheetError::new(source, vec![problem])
        })?;
        row.push(cell);
        if scan.ends_row() {
            rows.push(std::mem::take(&mut row));
        }
    }
    if !row.is_empty() {
        rows.push(row);
    }
    rows.retain(|row| row.iter().any(|cell| !cell.text.is_empty()));
    Ok(Cells { separator, rows })
}

/// The mark that stands most often in the first line that is not blank; a comma if none does.
fn separator(text: &str) -> char {
    let heading = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let count = |mark: char| heading.split('"').step_by(2).map(|part| part.matches(mark).count()).sum::<usize>();
    // The last of equals wins: the comma.
    ['\t', ';', ','].into_iter().max_by_key(|&mark| count(mark)).unwrap_or(',')
}

struct Scan<'t> {
    text: &'t str,
    separator: char,
    chars: Peekable<CharIndices<'t>>,
}

/// Where, what, and what to try.
type Fault = (Range<usize>, &'static str, &'static str);

impl Scan<'_> {
    fn at(&mut self) -> usize {
        self.chars.peek().map_or(self.text.len(), |&(at, _)| at)
    }

    fn is_end(&self, c: char) -> bool {
        c == self.separator || c == '\n' || c == '\r'
    }

    /// Reads one cell, up to the mark that ends it.
    fn cell(&mut self) -> Result<Cell, Fault> {
        let start = self.at();
        while let Some(&(at, c)) = self.chars.peek() {
            if self.is_end(c) {
                break;
            }
            self.chars.next();
            let blank_so_far = self.text[start..at].trim().is_empty();
            if c == '"' && blank_so_far {
                return self.quoted(at);
            }
        }
        let span = start..self.at();
        Ok(Cell { text: self.text[span.clone()].trim().to_owned(), span, quoted: false })
    }

    /// Reads the rest of a cell whose opening quote stood at `start`.
    fn quoted(&mut self, start: usize) -> Result<Cell, Fault> {
        let mut text = String::new();
        loop {
            match self.chars.next() {
                None => {
                    return Err((
                        start..start + 1,
                        "a quote opens here and never closes",
                        "close the quote, or take it away",
                    ));
                }
                Some((_, '"')) if self.chars.peek().is_some_and(|&(_, c)| c == '"') => {
                    self.chars.next();
                    text.push('"');
                }
                Some((_, '"')) => break,
                Some((_, c)) => text.push(c),
            }
        }
        let end = self.at();
        while let Some(&(at, c)) = self.chars.peek() {
            if self.is_end(c) {
                break;
            }
            if !c.is_whitespace() {
                return Err((start..at, "text follows a closing quote", "write a quote inside a quoted cell twice"));
            }
            self.chars.next();
        }
        Ok(Cell { text: text.trim().to_owned(), span: start..end, quoted: true })
    }

    /// Steps over the mark after a cell; whether it ended the row. A separator at the very end of the text opens a cell
    /// that is blank, which needs no saying.
    fn ends_row(&mut self) -> bool {
        match self.chars.next() {
            Some((_, '\r')) => {
                self.chars.next_if(|&(_, c)| c == '\n');
                true
            }
            Some((_, c)) => c == '\n',
            None => true,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(text: &str) -> Vec<Vec<String>> {
        let cells = cells(&Source::new("x", text)).unwrap();
        cells.rows.into_iter().map(|row| row.into_iter().map(|cell| cell.text).collect()).collect()
    }

    #[test]
    fn separators_and_line_ends_are_found() {
        for text in ["a,b\n1,2\n", "a;b\r\n1;2", "a\tb\r1\t2\r", "\n\n a , b \n\n,\n1,2\n\n", "\"a\";\"b\"\n1;2\n"] {
            assert_eq!(texts(text), [["a", "b"], ["1", "2"]], "{text:?}");
        }
        assert_eq!(cells(&Source::new("x", "\"a;b;c\",d")).unwrap().separator, ',');
    }

    #[test]
    fn quotes_hold_marks_and_line_ends() {
        assert_eq!(texts("a,b\n\"1,5\",\"say \"\"x\"\"\nagain\"\n"), [["a", "b"], ["1,5", "say \"x\"\nagain"]]);
        assert_eq!(texts("a,b\n 5\" reed , \"x\" \n"), [["a", "b"], ["5\" reed", "x"]]);
    }

    #[test]
    fn cells_know_their_place() {
        let text = "a,b\n\"1\", 2\n";
        let rows = cells(&Source::new("x", text)).unwrap().rows;
        assert_eq!((&text[rows[1][0].span.clone()], rows[1][0].quoted), ("\"1\"", true));
        assert_eq!((&text[rows[1][1].span.clone()], rows[1][1].quoted), (" 2", false));
    }

    #[test]
    fn broken_quotes_are_refused() {
        let problem = |text: &str| cells(&Source::new("x", text)).unwrap_err().problems.remove(0);
        assert_eq!((problem("a,b\n1,\"2\n3\n").line, problem("a,b\n1,\"2\n3\n").column), (Some(2), Some(3)));
        assert!(problem("a,b\n\"1\"x,2\n").message.contains("follows a closing quote"));
    }
}
