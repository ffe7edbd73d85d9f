//! Lines for a terminal.

/// What every list of work on a set ends with.
pub const CARE: &str = "Care: filings and dust of brass and beryllium copper are harmful, edges are sharp, small parts do not \
                        belong in the mouth; README.md says more. Local rules and qualified people come first.";

/// Lines below each other, each broken where it is too long.
pub fn wrapped<T: AsRef<str>>(lines: impl IntoIterator<Item = T>) -> String {
    lines.into_iter().map(|line| wrap(line.as_ref(), "  ")).collect::<Vec<_>>().join("\n")
}

/// Breaks a line at spaces, 100 characters wide, later lines after `indent`.
pub fn wrap(line: &str, indent: &str) -> String {
    const WIDTH: usize = 100;
    let mut out = String::new();
    let mut width = 0;
    for word in line.split_inclusive(' ') {
        let length = word.trim_end().chars().count();
        if width > indent.len() && width + length > WIDTH {
            out.truncate(out.trim_end().len());
            out.push('\n');
            out.push_str(indent);
            width = indent.len();
        }
        out.push_str(word);
        width += word.chars().count();
    }
    out
}
