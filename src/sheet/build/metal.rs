//! The metal: an alloy of the table or the user's own, and what was given in its place.

use super::Build;
use crate::sheet::alloys::{Alloy, Temper, known_alloys};
use crate::sheet::checked::Metal;
use crate::sheet::keys::Table;
use crate::sheet::value::{Fault, rounded};

/// Between those of brass, bronze and steel.
const USUAL_POISSON_RATIO: f64 = 0.34;

/// The elastic numbers of a metal.
pub(super) struct Elastic {
    pub(super) density_kg_m3: f64,
    pub(super) youngs_modulus_pa: f64,
    pub(super) shear_modulus_pa: f64,
}

impl Build<'_> {
    /// The metal; none when it cannot be told, which is then reported.
    pub(super) fn metal(&mut self) -> Option<Metal> {
        let alloy = self.alloy()?;
        let temper = self.given_text(Table::Reed, "temper").map(|(_, text)| text.to_owned());
        let from_temper = self.yield_from_temper(alloy.as_ref());
        let yield_strength_pa = self.given_si(Table::Reed, "yield_mpa").or(from_temper);
        let known = alloy.as_ref().and_then(|alloy| match temper.as_deref() {
            Some(name) => alloy.temper(name),
            None => sole_temper(alloy),
        });
        let tensile_of_temper = known.and_then(|temper| temper.tensile_mpa).map(|mpa| 1e6 * mpa);
        let of_alloy = alloy.as_ref().and_then(|alloy| alloy.fatigue_of(known.map(|temper| temper.name.as_str())));
        let of_alloy = of_alloy.map(|fatigue| (1e6 * fatigue.strength_mpa, fatigue.cycles));
        Some(Metal {
            name: alloy.as_ref().map_or_else(|| "as given".to_owned(), |alloy| alloy.name.clone()),
            tensile_strength_pa: self.given_si(Table::Reed, "tensile_mpa").or(tensile_of_temper),
            fatigue_strength_pa: self.fatigue_given().or(of_alloy),
            alloy,
            temper,
            yield_strength_pa,
        })
    }

    /// The alloy named, or assumed where density or modulus need one; `Some(None)` where they do not.
    fn alloy(&mut self) -> Option<Option<Alloy>> {
        let own = &self.spec.own_alloys;
        if let Some((entry, name)) = self.given_text(Table::Reed, "alloy") {
            let mine = own.iter().find(|alloy| alloy.is_called(name));
            let known = known_alloys().iter().find(|alloy| alloy.is_called(name));
            if let (Some(mine), Some(_)) = (mine, known) {
                self.notes.push(format!("alloy {}: the file's own values are used, not the table's", mine.name));
            }
            let Some(alloy) = mine.or(known) else {
                let fault = Fault::new("is no known alloy").allowed(names(own.iter().chain(known_alloys())));
                self.fault(entry, fault.cure("name one of these, or describe your own in a table [alloys.NAME]"));
                return None;
            };
            return Some(Some(alloy.clone()));
        }
        if self.is_wrong(Table::Reed, "alloy") {
            return None;
        }
        let typed = |name: &str| self.given(Table::Reed, name).is_some() || self.is_wrong(Table::Reed, name);
        if typed("density_kg_m3") && typed("youngs_modulus_gpa") {
            return Some(None);
        }
        // Lists the assumption; the value is text.
        let _ = self.number(Table::Reed, "alloy");
        Some(known_alloys().iter().find(|alloy| alloy.is_called("C26000")).cloned())
    }

    /// The fatigue strength typed and its cycles, which are assumed where only the strength was.
    fn fatigue_given(&mut self) -> Option<(f64, f64)> {
        const USUAL_CYCLES: f64 = 1e8;
        let strength_pa = self.given_si(Table::Reed, "fatigue_mpa")?;
        let cycles = self.given_si(Table::Reed, "fatigue_cycles").unwrap_or_else(|| {
            self.assume(
                "fatigue_cycles",
                "1e8",
                "the usual number where the fatigue strength of a copper alloy is stated",
            );
            USUAL_CYCLES
        });
        Some((strength_pa, cycles))
    }

    fn yield_from_temper(&mut self, alloy: Option<&Alloy>) -> Option<f64> {
        let tempers = alloy.map(|alloy| alloy.tempers.as_slice()).unwrap_or_default();
        let Some((entry, name)) = self.given_text(Table::Reed, "temper") else {
            return alloy.and_then(sole_temper).map(|temper| 1e6 * temper.yield_mpa);
        };
        if let Some(temper) = alloy.and_then(|alloy| alloy.temper(name)) {
            return Some(1e6 * temper.yield_mpa);
        }
        if self.given(Table::Reed, "yield_mpa").is_none() && !self.is_wrong(Table::Reed, "yield_mpa") {
            let known: Vec<&str> = tempers.iter().map(|temper| temper.name.as_str()).collect();
            let known = if known.is_empty() { "none is known for this metal".to_owned() } else { known.join(", ") };
            self.fault(
                entry,
                Fault::new("is no known temper of this metal").allowed(known).cure("give yield_mpa as well"),
            );
        }
        None
    }

    /// Density and moduli: as given, else the alloy's. None when a value is wrong.
    pub(super) fn elastic(&mut self, metal: &Metal) -> Option<Elastic> {
        let alloy = metal.alloy.as_ref();
        let own = |build: &Self, name: &str, of_alloy: Option<f64>| {
            let wrong = build.is_wrong(Table::Reed, name);
            build.given_si(Table::Reed, name).or(of_alloy).filter(|_| !wrong)
        };
        let density_kg_m3 = own(self, "density_kg_m3", alloy.map(|alloy| alloy.density_kg_m3.value))?;
        let youngs_modulus_pa =
            own(self, "youngs_modulus_gpa", alloy.map(|alloy| 1e9 * alloy.youngs_modulus_gpa.value))?;
        let overridden = self.given(Table::Reed, "youngs_modulus_gpa").is_some();
        let of_alloy = alloy.filter(|_| !overridden).and_then(|alloy| alloy.shear_modulus_gpa.as_ref());
        let shear_modulus_pa =
            own(self, "shear_modulus_gpa", of_alloy.map(|datum| 1e9 * datum.value)).or_else(|| {
                let shear = youngs_modulus_pa / (2.0 * (1.0 + USUAL_POISSON_RATIO));
                let why = format!("from Young's modulus and a Poisson ratio of {USUAL_POISSON_RATIO}");
                self.assume("shear_modulus_gpa", format!("{} GPa", rounded(1e-9 * shear)), why);
                Some(shear)
            })?;
        Some(Elastic { density_kg_m3, youngs_modulus_pa, shear_modulus_pa })
    }
}

/// An own alloy has one strength, whatever its temper.
fn sole_temper(alloy: &Alloy) -> Option<&Temper> {
    alloy.tempers.first().filter(|_| alloy.tempers.len() == 1 && alloy.tempers_source.is_none())
}

/// Names of alloys, each with its best known other name.
fn names<'a>(alloys: impl Iterator<Item = &'a Alloy>) -> String {
    let both = |alloy: &Alloy| match alloy.aliases.first() {
        Some(alias) => format!("{} ({alias})", alloy.name),
        None => alloy.name.clone(),
    };
    alloys.map(both).collect::<Vec<_>>().join(", ")
}
