//! What the player says of a reed, in the few words a sheet knows.

use super::value::Fault;

/// The player's word on a reed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
pub enum Feel {
    /// It asks for more breath than it should.
    #[serde(rename = "too stiff")]
    TooStiff,
    /// It hisses, or takes much air.
    #[serde(rename = "airy")]
    Airy,
    /// It speaks late.
    #[serde(rename = "late")]
    Late,
    /// As it should be.
    #[serde(rename = "good")]
    Good,
}

impl Feel {
    /// All of them with their words in a sheet.
    pub const WORDS: [(&'static str, Self); 4] =
        [("too stiff", Self::TooStiff), ("airy", Self::Airy), ("late", Self::Late), ("good", Self::Good)];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, feel)| *feel == self).map_or("", |(word, _)| word)
    }
}

/// The value a word stands for, in small letters or large.
///
/// # Errors
/// A word that is none of them, with those that are.
pub(super) fn one_of<T: Copy>(text: &str, known: &[(&str, T)]) -> Result<T, Fault> {
    // Several blanks between two words are one.
    let plain = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let found = known.iter().find(|(word, _)| word.eq_ignore_ascii_case(&plain)).map(|(_, value)| *value);
    found.ok_or_else(|| {
        let allowed = known.iter().map(|(word, _)| *word).collect::<Vec<_>>().join(" or ");
        Fault::new("is not one of the words for it").cure(format!("write {allowed}")).allowed(allowed)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_go_there_and_back() {
        for (word, feel) in Feel::WORDS {
            assert_eq!((feel.word(), one_of(&word.to_uppercase(), &Feel::WORDS)), (word, Ok(feel)));
            assert_eq!(serde_json::to_value(feel).unwrap(), word);
        }
        assert_eq!(one_of("Too  Stiff", &Feel::WORDS), Ok(Feel::TooStiff));
        let fault = one_of("stiff", &Feel::WORDS).unwrap_err();
        assert_eq!(fault.allowed.unwrap(), "too stiff or airy or late or good");
    }
}
