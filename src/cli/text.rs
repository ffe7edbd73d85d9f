//! Lines for a terminal.

/// What every list of work on a set ends with.
pub const CARE: &str = "Care: filings and dust of brass and beryllium copper are harmful, edges are sharp, small parts do not \
                        belong in the mouth; README.md says more. Local rules and qualified people come first.";

/// The same in one line, where no work is planned yet.
pub const CARE_IN_SHORT: &str = "Care: filings, dust and edges harm; read Safety in README.md before you work.";

/// Lines below each other, each broken where it is too long.
pub fn wrapped<T: AsRef<str>>(lines: impl IntoIterator<Item = T>) -> String {
    lines.into_iter().map(|line| wrap(line.as_ref(), "  ")).collect::<Vec<_>>().join("\n")
}

/// The same for a terminal of 80 columns.
pub fn wrapped_80<T: AsRef<str>>(lines: impl IntoIterator<Item = T>) -> String {
    lines.into_iter().map(|line| wrap_80(line.as_ref(), "  ")).collect::<Vec<_>>().join("\n")
}

/// Breaks a line at spaces, 100 characters wide, later lines after `indent`.
pub fn wrap(line: &str, indent: &str) -> String {
    wrap_at(100, line, indent)
}

/// The same for a terminal of 80 columns.
pub fn wrap_80(line: &str, indent: &str) -> String {
    wrap_at(80, line, indent)
}

fn wrap_at(columns: usize, line: &str, indent: &str) -> String {
    let mut out = String::new();
    let mut width = 0;
    for word in line.split_inclusive(' ') {
        let length = word.trim_end().chars().count();
        if width > indent.len() && width + length > columns {
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
