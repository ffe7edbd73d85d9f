//! What is tested of a reed.

use serde::Serialize;

/// One thing that a test shows of a reed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Test {
    /// Its pitch when plucked.
    Pluck,
    /// The softest blow that sounds.
    SoftestBlow,
    /// Whether it starts in time when played softly.
    SoftStart,
    /// Whether it starts in time as usual.
    QuickStart,
    /// Whether it starts in time at a hard attack.
    HardStart,
    /// Whether it touches its slot when played hard.
    Rattle,
    /// How much its chamber leaks.
    Leak,
}

impl Test {
    /// All of them, in the order in which to do them: first what the next leans on.
    pub const ALL: [Self; 7] =
        [Self::Leak, Self::Pluck, Self::SoftestBlow, Self::SoftStart, Self::QuickStart, Self::HardStart, Self::Rattle];

    /// What to do, in a few words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Pluck => "pluck it three times and record",
            Self::SoftestBlow => "raise the pressure slowly on the gauge until it sounds",
            Self::SoftStart => "start it softly",
            Self::QuickStart => "start it as usual and record",
            Self::HardStart => "attack it hard",
            Self::Rattle => "hold it hard: does it rattle?",
            Self::Leak => "measure the leak of its chamber (seal leak)",
        }
    }

    /// The column of a round of measuring that takes what was found.
    pub fn column(self) -> &'static str {
        match self {
            Self::Pluck => "measured_pluck_hz",
            Self::SoftestBlow => "softest_blow_pa",
            Self::SoftStart | Self::QuickStart | Self::HardStart => "feel",
            Self::Rattle => "remark",
            Self::Leak => "leak_mm2",
        }
    }

    /// Minutes (assumed: common practice, no source).
    pub fn minutes(self) -> f64 {
        match self {
            Self::Pluck | Self::SoftestBlow => 1.0,
            Self::SoftStart | Self::QuickStart | Self::HardStart | Self::Rattle => 0.5,
            Self::Leak => 3.0,
        }
    }
}
