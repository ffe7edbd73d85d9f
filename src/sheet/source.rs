//! A text the user wrote, and places in it.

use std::fmt;
use std::ops::Range;
use std::sync::Arc;

/// A named text; cheap to clone.
#[derive(Clone)]
pub struct Source {
    inner: Arc<Inner>,
}

struct Inner {
    name: String,
    text: Arc<str>,
    line_starts: Vec<usize>,
}

impl Source {
    /// A text and the name it is known by, usually its path.
    pub fn new(name: impl Into<String>, text: impl Into<Arc<str>>) -> Self {
        let text = text.into();
        // A carriage return ends a line too, unless it belongs to the line feed after it.
        let ends_line = |at: usize, end: &str| end == "\n" || text.as_bytes().get(at + 1) != Some(&b'\n');
        let ends = text.match_indices(['\n', '\r']).filter(|&(at, end)| ends_line(at, end));
        let line_starts = std::iter::once(0).chain(ends.map(|(at, _)| at + 1)).collect();
        Self { inner: Arc::new(Inner { name: name.into(), text, line_starts }) }
    }

    /// The name of the text.
    pub fn name(&self) -> &str {
        &self.inner.name
    }

    /// The text.
    pub fn text(&self) -> &Arc<str> {
        &self.inner.text
    }

    /// A note where the last line has no line end: it may have been cut off, and part of a number is a number too.
    pub(super) fn note_on_its_end(&self) -> Option<String> {
        let (text, name) = (self.text(), self.name());
        let line = self.inner.line_starts.len();
        (!text.ends_with(['\n', '\r'])).then(|| {
            format!(
                "{name}: line {line}, the last, has no line end; if the file was cut off there, that line is not whole"
            )
        })
    }

    /// The place of a range of bytes.
    pub fn place(&self, span: Range<usize>) -> Place {
        Place { source: self.clone(), span }
    }

    /// The first byte of a line (counted from 1) as a place; for what is missing.
    pub fn line_place(&self, line: usize) -> Place {
        let last = self.inner.line_starts.len() - 1;
        let at = self.inner.line_starts[line.saturating_sub(1).min(last)];
        self.place(at..at)
    }
}

/// Only the name: the text would fill a screen.
impl fmt::Debug for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Source({:?})", self.name())
    }
}

/// A range of bytes in a [`Source`]: where a value came from.
#[derive(Clone)]
pub struct Place {
    source: Source,
    span: Range<usize>,
}

impl fmt::Debug for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}:{}", self.file(), self.line(), self.column())
    }
}

impl Place {
    /// Name of the file.
    pub fn file(&self) -> &str {
        self.source.name()
    }

    /// Line, counted from 1.
    pub fn line(&self) -> usize {
        self.source.inner.line_starts.partition_point(|&start| start <= self.span.start)
    }

    /// Column in characters, counted from 1.
    pub fn column(&self) -> usize {
        let start = self.source.inner.line_starts[self.line() - 1];
        self.source.text().get(start..self.span.start).map_or(1, |before| before.chars().count() + 1)
    }

    /// The bytes in the text.
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// What is written there, shortened to something that fits a line.
    pub fn typed(&self) -> String {
        shortened(self.source.text().get(self.span.clone()).unwrap_or_default())
    }
}

/// The beginning of a text that may be long or have many lines.
pub(super) fn shortened(text: &str) -> String {
    const SHOWN: usize = 60;
    let whole = text.trim();
    let line = whole.lines().next().unwrap_or_default();
    let mut shown: String = line.chars().take(SHOWN).collect();
    if shown.len() < whole.len() {
        shown.push_str("...");
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::Source;

    #[test]
    fn lines_and_columns_count_from_one_in_characters() {
        let text = "a = 1\n\u{e9}\u{e9} = 22\n";
        let source = Source::new("x", text);
        let at = text.find("22").unwrap();
        let place = source.place(at..at + 2);
        assert_eq!((place.line(), place.column(), place.typed().as_str()), (2, 6, "22"));
        assert_eq!(source.place(0..1).line(), 1);
        assert_eq!(source.place(6..6).line(), 2);
    }

    #[test]
    fn any_line_end_counts_once() {
        for text in ["a\nb\nc", "a\r\nb\r\nc", "a\rb\rc"] {
            let at = text.find('c').unwrap();
            assert_eq!(Source::new("x", text).place(at..at + 1).line(), 3, "{text:?}");
        }
    }

    #[test]
    fn long_or_many_lined_values_are_shortened() {
        let text = "[\n1,\n2]";
        assert_eq!(Source::new("x", text).place(0..text.len()).typed(), "[...");
        let long = "x".repeat(200);
        assert_eq!(Source::new("x", long.as_str()).place(0..200).typed().len(), 63);
    }
}
