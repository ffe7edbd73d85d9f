//! Colours that colour-blind readers and grey print keep apart: from Okabe and Ito (2008), used light to dark.

/// The page.
pub(super) const PAPER: &str = "#ffffff";
/// Text, axes and whatever must stand out.
pub(super) const INK: &str = "#1a1a1a";
/// Text of second rank (contrast 7:1 on the page).
pub(super) const SOFT_INK: &str = "#555555";
/// Grid lines.
pub(super) const GRID: &str = "#d9d9d9";
/// Grid lines of second rank.
pub(super) const FINE_GRID: &str = "#ececec";
/// Every other octave.
pub(super) const STRIPE: &str = "#f6f6f6";
/// The region that is wanted.
pub(super) const WANTED: &str = "#e3e6dc";
/// What a mark without a value is drawn in.
pub(super) const ABSENT: &str = "#8a8a8a";
/// Sky blue: the lightest of the data colours.
pub(super) const SKY: &str = "#56b4e9";
/// Sky blue as text on the page (contrast 4.8:1).
pub(super) const SKY_TEXT: &str = "#2479ab";
/// Sky blue, paler: a region of less weight beside one in sky blue.
pub(super) const PALE_SKY: &str = "#bfe0f5";
/// Blue: darker than sky blue in grey print.
pub(super) const BLUE: &str = "#0072b2";
/// Vermilion: the odd one out.
pub(super) const VERMILION: &str = "#d55e00";
/// Vermilion as text on the page (contrast 5:1).
pub(super) const VERMILION_TEXT: &str = "#b34700";
/// Vermilion, paler.
pub(super) const PALE_VERMILION: &str = "#f3b78a";
