//! A changed reed as a file: the user's own text with the changed keys, comments and own alloys kept.

use toml_edit::{DocumentMut, Item, Table as TomlTable, value};

use super::checked::CheckedReed;
use super::keys::{KEYS, Key, Table, find, find_in};
use super::value::{Value, rounded};

/// What was measured on the reed before a change and says nothing of the reed after it.
const OUTDATED: [&str; 4] = ["measured_sounding_hz", "measured_swing_mm", "measured_at_pa", "softest_blow_pa"];

impl CheckedReed {
    /// The file of this reed, made from `before` by changing `keys`: that file's text, comments and all, with the changes
    /// in it. What this reed no longer says is left out, and what was measured on the reed as it was where the change may
    /// alter it; the thickness that its
    /// plucked pitch gave is written down where the pitch has changed. Reading the file gives this reed again.
    pub fn changed_file(&self, before: &Self, keys: &[&str]) -> String {
        let parsed = before.spec.source_text().parse::<DocumentMut>().ok().filter(|file| file.contains_key("reed"));
        let mut file = parsed.unwrap_or_else(|| before.spec.to_toml().parse().expect("written as TOML"));
        let mut left_out = Vec::new();
        let changed: Vec<&'static Key> = keys.iter().filter_map(|name| find(name)).collect();
        let is_changed = |name: &str| changed.iter().any(|key| key.table == Table::Reed && key.name == name);
        for &key in &changed {
            for other in key.instead_of {
                remove(&mut file, key.table, other);
            }
            match self.spec.typed(&key.full_name()) {
                Some((value, _)) => set(&mut file, key, value),
                None => {
                    remove(&mut file, key.table, key.name);
                }
            }
        }
        let instead = |name: &str| keys.iter().filter_map(|key| find(key)).any(|key| key.instead_of.contains(&name));
        for key in KEYS {
            let gone = before.spec.typed(&key.full_name()).is_some() && self.spec.typed(&key.full_name()).is_none();
            if gone && key.name == "closing_force_g" && self.write_stiffness(&mut file) {
                continue;
            }
            if gone && remove(&mut file, key.table, key.name) && !instead(key.name) {
                left_out.push(key.name);
            }
        }
        for name in OUTDATED.into_iter().filter(|name| !is_changed(name)) {
            if remove(&mut file, Table::Reed, name) {
                left_out.push(name);
            }
        }
        if self.pitch_differs(before) && !is_changed("measured_pluck_hz") {
            if remove(&mut file, Table::Reed, "measured_pluck_hz") {
                left_out.push("measured_pluck_hz");
            }
            self.write_thickness(&mut file);
            left_out.extend(self.write_tip(&mut file, &is_changed));
            if !is_changed("ring_down_s") && remove(&mut file, Table::Reed, "ring_down_s") {
                // The loss stays; the time it takes does not.
                let key = find_in(Table::Reed, "quality_factor").expect("a key of the table");
                set(&mut file, key, &Value::Number(rounded(self.reed.quality_factor)));
                left_out.push("ring_down_s");
            }
        }
        heading(before.spec.source_name(), keys, &left_out) + &file.to_string()
    }

    fn pitch_differs(&self, before: &Self) -> bool {
        let pluck = |checked: &Self| checked.reed.beam.modes(1)[0].frequency_hz;
        self.thickness.is_some() && (pluck(self) / pluck(before) - 1.0).abs() > 1e-9
    }

    /// The stiffness in place of the force that was weighed at another gap, where there is one.
    fn write_stiffness(&self, file: &mut DocumentMut) -> bool {
        let key = find_in(Table::Reed, "stiffness_n_m").expect("a key of the table");
        let Some((value, _)) = self.spec.typed(key.name) else { return false };
        remove(file, Table::Reed, "closing_force_g");
        set(file, key, value);
        true
    }

    /// What sits on the tip as it was found or assumed with the pitch, in place of what it was found from; gives what is left
    /// out.
    fn write_tip(&self, file: &mut DocumentMut, is_changed: &impl Fn(&str) -> bool) -> Vec<&'static str> {
        let Some(tip) = self.thickness.map(|kept| kept.tip) else { return Vec::new() };
        let mass_kg = self.reed.beam.tip_mass_kg;
        let key = |name| find_in(Table::Reed, name).expect("a key of the table");
        let weighed = ["closing_force_g", "stiffness_n_m"].into_iter();
        let left_out = weighed.filter(|name| !is_changed(name) && remove(file, Table::Reed, name)).collect();
        if self.spec.typed("tip_mass_mg").is_none() && mass_kg > 0.0 {
            remove(file, Table::Reed, "tip_weight_share");
            set(file, key("tip_mass_mg"), &Value::Number(rounded(1e6 * mass_kg)));
        }
        if self.spec.typed("tip_thinning").is_none()
            && self.spec.typed("thickness_stations_mm").is_none()
            && tip.thinning > 0.0
        {
            set(file, key("tip_thinning"), &Value::Number(rounded(tip.thinning)));
        }
        left_out
    }

    /// The thickness as the plucked pitch found it, in place of the one typed.
    fn write_thickness(&self, file: &mut DocumentMut) {
        let Some(kept) = self.thickness else { return };
        let key = |name| find_in(Table::Reed, name).expect("a key of the table");
        let (uniform, stations) = (key("thickness_mm"), key("thickness_stations_mm"));
        match (self.spec.typed(stations.name), self.spec.typed(uniform.name)) {
            (Some((Value::Stations(typed), _)), _) => {
                let scaled = typed.iter().map(|&(place, mm)| (place, rounded(mm * kept.scale))).collect();
                set(file, stations, &Value::Stations(scaled));
            }
            (_, Some((Value::Number(mm), _))) => {
                let scale = if kept.measured { kept.scale } else { 1.0 };
                set(file, uniform, &Value::Number(rounded(mm * scale)));
            }
            _ => {
                let thinning = kept.tip.thinning;
                set(file, uniform, &Value::Number(rounded(1e3 * kept.mean_found_m / (1.0 - 0.5 * thinning))));
            }
        }
    }
}

fn heading(name: &str, keys: &[&str], left_out: &[&str]) -> String {
    let name: String = name.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let mut text = format!("# {name} with changed: {}.\n", keys.join(", "));
    if !left_out.is_empty() {
        text += &format!("# Left out, as measured before the change: {}.\n", left_out.join(", "));
    }
    text
}

fn remove(file: &mut DocumentMut, table: Table, name: &str) -> bool {
    let entries = file.get_mut(table.name()).and_then(Item::as_table_like_mut);
    entries.and_then(|entries| entries.remove(name)).is_some()
}

fn set(file: &mut DocumentMut, key: &Key, new: &Value) {
    debug_assert!(KEYS.contains(key));
    let table = file.entry(key.table.name()).or_insert_with(|| Item::Table(TomlTable::new()));
    let Some(entries) = table.as_table_like_mut() else { return };
    let item = match new {
        Value::Number(number) => value(*number),
        Value::Text(text) => value(text.clone()),
        Value::Stations(stations) => {
            let pair = |&(place, number): &(f64, f64)| toml_edit::Array::from_iter([place, number]);
            value(stations.iter().map(pair).collect::<toml_edit::Array>())
        }
    };
    match entries.get_mut(key.name).and_then(Item::as_value_mut) {
        // A comment behind the old value was about the old value.
        Some(_) => *entries.get_mut(key.name).expect("just found") = item,
        None => {
            entries.insert(key.name, item);
        }
    }
}
