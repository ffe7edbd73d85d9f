//! Lines for a terminal.

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
