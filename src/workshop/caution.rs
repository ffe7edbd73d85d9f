//! Where work can hurt. The usual caution, no more: local rules, safety data sheets and qualified people come first.

use crate::sheet::Metal;

/// A hazard of an operation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Caution {
    /// Filings and dust of the reed's metal, with what the alloy table says of it.
    Filings(Option<String>),
    /// Sharp edges of slots, shims and fresh cuts.
    Edges,
    /// Parts small enough to be swallowed or breathed in.
    SmallParts,
    /// Cleaners, glues and flux.
    Solvents,
    /// Hot metal and fumes of solder.
    Solder,
    /// A reed blown hard close to the ear.
    Sound,
}

impl Caution {
    /// Filing or scraping this metal.
    pub fn filing(metal: &Metal) -> Self {
        Self::Filings(metal.alloy.as_ref().and_then(|alloy| alloy.caution.clone()))
    }

    /// What to take care of, as a sentence.
    pub fn sentence(&self) -> String {
        match self {
            Self::Filings(of_metal) => {
                let metal = of_metal.as_ref().map_or(String::new(), |said| format!(" This metal {said}."));
                format!(
                    "Filings and dust of copper alloys are harmful: wipe wet, do not blow or sweep dry, do not eat at the \
                     bench, wash hands.{metal}"
                )
            }
            Self::Edges => "Slot edges, shims and fresh cuts are sharp: mind fingers and eyes.".to_owned(),
            Self::SmallParts => {
                "Reeds, rivets, screws and valves do not belong in the mouth; clean an instrument before anybody plays it."
                    .to_owned()
            }
            Self::Solvents => {
                "Solvents and glues: air the room, no flames, keep off the skin, read the safety data sheet.".to_owned()
            }
            Self::Solder => {
                "Solder: hot metal and fumes; air the room, no lead where a mouth comes near, wash hands.".to_owned()
            }
            Self::Sound => "A reed blown hard close to the ear is loud: protect your hearing.".to_owned(),
        }
    }

    /// Those of a plan, and to whom they defer.
    pub fn sentences(cautions: &[Self]) -> Vec<String> {
        cautions.iter().map(Self::sentence).chain([DEFERS.to_owned()]).collect()
    }
}

/// Said after the cautions of every plan.
pub const DEFERS: &str = "Local rules, safety data sheets and qualified people come first.";
