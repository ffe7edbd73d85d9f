//! The metals of reeds: a table with a source for every value, and the user's own.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::physics::beam::Heat;

/// How far a value of the alloy table can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Confidence {
    /// Read in the source named.
    Seen,
    /// General knowledge; the source was not seen.
    #[serde(rename = "from memory")]
    FromMemory,
    /// Stated by the user.
    #[serde(skip_deserializing)]
    Own,
}

/// A value and where it comes from.
#[derive(Debug, Clone, PartialEq, Deserialize, serde::Serialize)]
#[serde(deny_unknown_fields)]
pub struct Datum {
    /// The value, in the unit its key names.
    pub value: f64,
    /// Paper, standard, handbook or mill data sheet.
    pub source: String,
    /// Whether that source was seen.
    pub confidence: Confidence,
}

/// Where a list of values comes from.
#[derive(Debug, Clone, PartialEq, Deserialize, serde::Serialize)]
#[serde(deny_unknown_fields)]
pub struct Provenance {
    /// Paper, standard, handbook or mill data sheet.
    pub source: String,
    /// Whether that source was seen.
    pub confidence: Confidence,
}

/// How hard the strip was rolled, and its strength then.
#[derive(Debug, Clone, PartialEq, Deserialize, serde::Serialize)]
#[serde(deny_unknown_fields)]
pub struct Temper {
    /// Its name in the standard.
    pub name: String,
    /// Its name in words.
    pub also: Option<String>,
    /// Yield strength (MPa).
    pub yield_mpa: f64,
    /// Tensile strength (MPa).
    pub tensile_mpa: Option<f64>,
}

/// Stress that a number of load cycles does not break.
#[derive(Debug, Clone, PartialEq, Deserialize, serde::Serialize)]
#[serde(deny_unknown_fields)]
pub struct Fatigue {
    /// Temper it holds for; none: as stated by the user for the alloy.
    pub temper: Option<String>,
    /// Stress amplitude about zero mean (MPa).
    pub strength_mpa: f64,
    /// Number of cycles.
    pub cycles: f64,
    /// Paper, standard, handbook or mill data sheet.
    pub source: String,
    /// Whether that source was seen.
    pub confidence: Confidence,
}

/// A metal.
#[derive(Debug, Clone, PartialEq, Deserialize, serde::Serialize)]
#[serde(deny_unknown_fields)]
pub struct Alloy {
    /// Its name in the table.
    pub name: String,
    /// Other names that find it.
    #[serde(default)]
    pub aliases: Vec<String>,
    /// What it is.
    pub description: String,
    /// What to take care of at the bench.
    pub caution: Option<String>,
    /// Density (kg/m3).
    pub density_kg_m3: Datum,
    /// Young's modulus at 20 degC (GPa).
    pub youngs_modulus_gpa: Datum,
    /// Shear modulus at 20 degC (GPa).
    pub shear_modulus_gpa: Option<Datum>,
    /// Linear thermal expansion (1/K).
    pub expansion_per_k: Option<Datum>,
    /// Relative change of Young's modulus with temperature (1/K).
    pub modulus_change_per_k: Option<Datum>,
    /// Heat capacity at 20 degC (J/(kg K)).
    pub heat_capacity_j_kg_k: Option<Datum>,
    /// Thermal conductivity at 20 degC (W/(m K)).
    pub conductivity_w_m_k: Option<Datum>,
    /// Where the tempers come from.
    pub tempers_source: Option<Provenance>,
    /// Strength by temper.
    #[serde(default)]
    pub tempers: Vec<Temper>,
    /// Fatigue strengths.
    #[serde(default)]
    pub fatigue: Vec<Fatigue>,
}

impl Alloy {
    /// Whether this is the alloy called `name`, in any case of letters.
    pub fn is_called(&self, name: &str) -> bool {
        std::iter::once(&self.name).chain(&self.aliases).any(|known| known.eq_ignore_ascii_case(name.trim()))
    }

    /// The temper called `name`, by its standard name or in words.
    ///
    /// ```
    /// use freereed::sheet::alloys::known_alloys;
    /// let brass = known_alloys().iter().find(|alloy| alloy.is_called("CuZn30")).unwrap();
    /// assert_eq!(brass.temper("half hard").unwrap().name, "H02");
    /// ```
    pub fn temper(&self, name: &str) -> Option<&Temper> {
        let called = |temper: &&Temper| {
            let names = std::iter::once(temper.name.as_str()).chain(temper.also.as_deref());
            names.into_iter().any(|known| known.eq_ignore_ascii_case(name.trim()))
        };
        self.tempers.iter().find(called)
    }

    /// How it takes up and passes on heat, where that is known.
    pub fn heat(&self) -> Option<Heat> {
        let value = |datum: &Option<Datum>| datum.as_ref().map(|datum| datum.value);
        Some(Heat {
            expansion_per_k: value(&self.expansion_per_k)?,
            heat_capacity_j_kg_k: value(&self.heat_capacity_j_kg_k)?,
            conductivity_w_m_k: value(&self.conductivity_w_m_k)?,
        })
    }

    /// The fatigue strength for a temper, or the one that is stated for the alloy whatever its temper.
    pub fn fatigue_of(&self, temper: Option<&str>) -> Option<&Fatigue> {
        let fits = |fatigue: &&Fatigue| fatigue.temper.is_none() || fatigue.temper.as_deref() == temper;
        self.fatigue.iter().find(fits)
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AlloyFile {
    alloy: Vec<Alloy>,
}

static KNOWN: LazyLock<Vec<Alloy>> = LazyLock::new(|| {
    let file: AlloyFile = toml::from_str(include_str!("../../data/alloys.toml"))
        .expect("the alloy table that is built in is read by a test");
    file.alloy
});

/// The alloys of the table that is built in.
pub fn known_alloys() -> &'static [Alloy] {
    &KNOWN
}

#[cfg(test)]
mod tests {
    use super::*;

    fn alloy(name: &str) -> &'static Alloy {
        known_alloys().iter().find(|alloy| alloy.is_called(name)).unwrap_or_else(|| panic!("{name}"))
    }

    #[test]
    fn the_table_holds_what_reeds_are_made_of() {
        for name in
            ["C26000", "CuZn37", "C27200", "C51000", "CuSn5", "C52100", "CuSn8", "301", "1.4310", "c17200", "CuBe2"]
        {
            alloy(name);
        }
        let value = |name: &str| (alloy(name).density_kg_m3.value, alloy(name).youngs_modulus_gpa.value);
        assert_eq!(value("C26000"), (8530.0, 110.0));
        assert_eq!(value("C51000"), (8860.0, 110.0));
    }

    #[test]
    fn every_name_finds_one_alloy() {
        let names = known_alloys().iter().flat_map(|alloy| std::iter::once(&alloy.name).chain(&alloy.aliases));
        for name in names {
            assert_eq!(known_alloys().iter().filter(|alloy| alloy.is_called(name)).count(), 1, "{name}");
        }
    }

    #[test]
    fn every_alloy_is_whole_and_believable() {
        for alloy in known_alloys() {
            let name = &alloy.name;
            let (young, shear) = (alloy.youngs_modulus_gpa.value, alloy.shear_modulus_gpa.as_ref().unwrap().value);
            let poisson = young / (2.0 * shear) - 1.0;
            assert!((0.25..0.40).contains(&poisson), "{name}: Poisson ratio {poisson}");
            assert!((10e-6..25e-6).contains(&alloy.expansion_per_k.as_ref().unwrap().value), "{name}");
            let heat = alloy.heat().unwrap();
            assert!((350.0..550.0).contains(&heat.heat_capacity_j_kg_k), "{name}");
            // Electrons carry heat and current: copper has 390 W/(m K), stainless steel the least of reeds.
            assert!((12.0..200.0).contains(&heat.conductivity_w_m_k), "{name}");
            assert!((-6e-4..-2e-4).contains(&alloy.modulus_change_per_k.as_ref().unwrap().value), "{name}");
            assert!(alloy.tempers.windows(2).all(|pair| pair[0].yield_mpa < pair[1].yield_mpa), "{name}");
            for temper in &alloy.tempers {
                assert!(temper.tensile_mpa.is_none_or(|tensile| tensile > temper.yield_mpa), "{name} {}", temper.name);
            }
            for fatigue in &alloy.fatigue {
                let temper = alloy.temper(fatigue.temper.as_deref().unwrap()).unwrap();
                assert!(fatigue.strength_mpa < 0.6 * temper.yield_mpa && fatigue.cycles >= 1e6, "{name}");
            }
            assert!(alloy.caution.is_some() && alloy.tempers_source.is_some(), "{name}");
        }
        assert!(alloy("C17200").caution.as_ref().unwrap().contains("BERYLLIUM"));
    }
}
