//! The user's own metals: `[alloys.NAME]` in a reed or job file.

use super::alloys::{Alloy, Confidence, Datum, Fatigue, Temper};
use super::toml_text::{Item, Name, Reading};

/// What a table `[alloys.NAME]` may hold: name, least, most, why.
const NUMBERS: [(&str, f64, f64, &str); 10] = [
    ("density_kg_m3", 1000.0, 23000.0, "kg/m3, from the lightest to the densest metals"),
    ("youngs_modulus_gpa", 5.0, 450.0, "GPa, from the softest to nearly the stiffest metals"),
    ("shear_modulus_gpa", 1.5, 200.0, "GPa, a bit over a third of Young's modulus in most metals"),
    ("yield_mpa", 5.0, 3000.0, "MPa, from annealed pure metals to the hardest spring steel"),
    ("tensile_mpa", 5.0, 4000.0, "MPa, above the yield strength"),
    ("fatigue_mpa", 1.0, 2000.0, "MPa, stress amplitude about zero mean"),
    ("fatigue_cycles", 1e3, 1e12, "cycles that fatigue_mpa does not break"),
    ("expansion_per_k", 0.0, 1e-4, "1/K, brass is 2e-5"),
    ("heat_capacity_j_kg_k", 100.0, 2000.0, "J/(kg K), brass is 380"),
    ("conductivity_w_m_k", 1.0, 500.0, "W/(m K), brass is 120"),
];
/// Negative in nearly all metals.
const MODULUS_CHANGE: (&str, f64, f64, &str) = ("modulus_change_per_k", -2e-3, 2e-3, "1/K, brass is -4.5e-4");
const TEXTS: [&str; 2] = ["description", "caution"];

impl Reading<'_> {
    /// Reads the table `[alloys]`.
    pub(super) fn own_alloys(&mut self, name: &Name<'_>, item: &Item<'_>) -> Vec<Alloy> {
        let Some(table) = self.table(name, item) else { return Vec::new() };
        table.iter().filter_map(|(name, item)| self.own_alloy(name, item)).collect()
    }

    fn own_alloy(&mut self, name: &Name<'_>, item: &Item<'_>) -> Option<Alloy> {
        let table = self.table(name, item)?;
        let before = self.problems.len();
        let (mut numbers, mut texts) = (Vec::new(), Vec::new());
        for (key, value) in table {
            let rows = || NUMBERS.iter().chain([&MODULUS_CHANGE]);
            if let Some(&(known, least, most, why)) = rows().find(|row| row.0 == key.get_ref()) {
                numbers.extend(self.number(key, value, least, most, why).map(|number| (known, number)));
            } else if let Some(&known) = TEXTS.iter().find(|text| *text == key.get_ref()) {
                texts.extend(self.text(key, value).map(|text| (known, text)));
            } else {
                let known: Vec<&str> = rows().map(|row| row.0).chain(TEXTS).collect();
                self.unknown(key, &known);
            }
        }
        for needed in ["density_kg_m3", "youngs_modulus_gpa"] {
            if !table.iter().any(|(key, _)| key.get_ref() == needed) {
                let problem = super::error::Problem::at(&self.place_of(name), needed, "is missing for this alloy");
                self.problems
                    .push(problem.without_value().cure("an own alloy needs density_kg_m3 and youngs_modulus_gpa"));
            }
        }
        (self.problems.len() == before).then(|| alloy(name.get_ref(), &numbers, &texts))
    }
}

fn alloy(name: &str, numbers: &[(&str, f64)], texts: &[(&str, String)]) -> Alloy {
    const SOURCE: &str = "stated in the file";
    let number = |key: &str| numbers.iter().find(|(known, _)| *known == key).map(|(_, number)| *number);
    let text = |key: &str| texts.iter().find(|(known, _)| *known == key).map(|(_, text)| text.clone());
    let datum = |value: f64| Datum { value, source: SOURCE.to_owned(), confidence: Confidence::Own };
    let temper = number("yield_mpa").map(|yield_mpa| Temper {
        name: "as stated".to_owned(),
        also: None,
        yield_mpa,
        tensile_mpa: number("tensile_mpa"),
    });
    let fatigue = number("fatigue_mpa").zip(number("fatigue_cycles")).map(|(strength_mpa, cycles)| Fatigue {
        temper: None,
        strength_mpa,
        cycles,
        source: SOURCE.to_owned(),
        confidence: Confidence::Own,
    });
    Alloy {
        name: name.to_owned(),
        aliases: Vec::new(),
        description: text("description").unwrap_or_else(|| "own alloy".to_owned()),
        caution: text("caution"),
        density_kg_m3: datum(number("density_kg_m3").unwrap_or(f64::NAN)),
        youngs_modulus_gpa: datum(number("youngs_modulus_gpa").unwrap_or(f64::NAN)),
        shear_modulus_gpa: number("shear_modulus_gpa").map(datum),
        expansion_per_k: number("expansion_per_k").map(datum),
        modulus_change_per_k: number("modulus_change_per_k").map(datum),
        heat_capacity_j_kg_k: number("heat_capacity_j_kg_k").map(datum),
        conductivity_w_m_k: number("conductivity_w_m_k").map(datum),
        tempers_source: None,
        tempers: temper.into_iter().collect(),
        fatigue: fatigue.into_iter().collect(),
    }
}

/// An own alloy as the table it was read from.
pub(super) fn to_toml(alloy: &Alloy) -> String {
    let temper = alloy.tempers.first();
    let fatigue = alloy.fatigue.first();
    let value = |datum: &Option<Datum>| datum.as_ref().map(|datum| datum.value);
    let numbers = [
        ("density_kg_m3", Some(alloy.density_kg_m3.value)),
        ("youngs_modulus_gpa", Some(alloy.youngs_modulus_gpa.value)),
        ("shear_modulus_gpa", value(&alloy.shear_modulus_gpa)),
        ("yield_mpa", temper.map(|temper| temper.yield_mpa)),
        ("tensile_mpa", temper.and_then(|temper| temper.tensile_mpa)),
        ("fatigue_mpa", fatigue.map(|fatigue| fatigue.strength_mpa)),
        ("fatigue_cycles", fatigue.map(|fatigue| fatigue.cycles)),
        ("expansion_per_k", value(&alloy.expansion_per_k)),
        ("modulus_change_per_k", value(&alloy.modulus_change_per_k)),
        ("heat_capacity_j_kg_k", value(&alloy.heat_capacity_j_kg_k)),
        ("conductivity_w_m_k", value(&alloy.conductivity_w_m_k)),
    ];
    let numbers = numbers.into_iter().filter_map(|(key, number)| Some(format!("{key} = {}\n", number?)));
    let texts = [("description", Some(&alloy.description)), ("caution", alloy.caution.as_ref())];
    let texts =
        texts.into_iter().filter_map(|(key, text)| Some(format!("{key} = {}\n", toml::Value::from(text?.as_str()))));
    format!("[alloys.{}]\n{}", toml_edit::Key::new(alloy.name.as_str()), numbers.chain(texts).collect::<String>())
}
