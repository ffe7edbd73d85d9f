//! What lies below the rows of a sheet: plate, defaults, chambers, air.

use std::collections::BTreeSet;

use toml::de::{DeTable, DeValue};

use super::csv_sheet::{Breath, MOST_HOLES};
use super::holes::holes;
use super::keys::{KEYS, Key, Table, WhenLeftOut};
use super::layer::{Layer, problem};
use super::toml_text::{Item, Name, Reading, part};
use super::value::{Fault, toml_kind};

/// What holds for the reeds of a set where their rows say nothing.
#[derive(Debug, Clone, Default)]
pub(super) struct Surroundings {
    /// `[plate]` over `[defaults]`.
    pub(super) defaults: Layer,
    chambers: Vec<(u32, Layer)>,
    blow: Layer,
    draw: Layer,
}

impl Surroundings {
    /// What lies below a row of the sheet: its chamber over the plate over the defaults, and its air.
    pub(super) fn below(&self, hole: u32, breath: Breath) -> Layer {
        let air = if breath == Breath::Blow { &self.blow } else { &self.draw };
        let below = air.over(&self.defaults);
        match self.chambers.iter().find(|(of, _)| *of == hole) {
            Some((_, chamber)) => chamber.over(&below),
            None => below,
        }
    }

    /// Holes that have a chamber of their own.
    pub(super) fn chamber_holes(&self) -> impl Iterator<Item = u32> {
        self.chambers.iter().map(|(hole, _)| *hole)
    }

    /// These laid over others: a hole's chamber is the upper one's where it has one.
    pub(super) fn over(&self, below: &Self) -> Self {
        let hidden = |hole: u32| self.chambers.iter().any(|(own, _)| *own == hole);
        let others = below.chambers.iter().filter(|(hole, _)| !hidden(*hole));
        Self {
            defaults: self.defaults.over(&below.defaults),
            chambers: self.chambers.iter().chain(others).cloned().collect(),
            blow: self.blow.over(&below.blow),
            draw: self.draw.over(&below.draw),
        }
    }
}

/// Keys of the air that hold for blow and draw reeds alike: the doubtful coefficients of the model.
pub(super) const OF_ALL_AIR: [&str; 3] = ["inertance_factor", "contraction", "drag_coefficient"];

impl Reading<'_> {
    /// Reads `[plate]`, `[defaults]`, `[[chamber]]` and `[air]` of a table.
    pub(super) fn surroundings(&mut self, table: &DeTable<'_>) -> Surroundings {
        let plate = self.layer(part(table, "plate"), &[Table::Slot]);
        let defaults = self.layer(part(table, "defaults"), &[Table::Reed, Table::Slot]);
        let chambers = part(table, "chamber").map(|(name, item)| self.chambers(name, item)).unwrap_or_default();
        let [blow, draw] = self.airs(part(table, "air"));
        Surroundings { defaults: plate.over(&defaults), chambers, blow, draw }
    }

    /// A table of keys that holds for all reeds.
    fn layer(&mut self, table: Option<(&Name<'_>, &Item<'_>)>, tables: &[Table]) -> Layer {
        let mut layer = Layer::default();
        if let Some(entries) = table.and_then(|(name, item)| self.table(name, item)) {
            self.entries(entries, tables, &mut layer);
        }
        for (first, second) in layer.said_twice() {
            let fault = Fault::new(format!("is given, and so is {}, which says the same another way", first.key.name));
            self.problems.push(second.problem(fault.cure("keep one of the two")));
        }
        layer
    }

    fn airs(&mut self, table: Option<(&Name<'_>, &Item<'_>)>) -> [Layer; 2] {
        let Some(entries) = table.and_then(|(name, item)| self.table(name, item)) else { return Default::default() };
        let (mut model, mut others) = (Layer::default(), Vec::new());
        for (name, item) in entries.iter().filter(|(name, _)| !["blow", "draw"].contains(&name.get_ref().as_ref())) {
            if OF_ALL_AIR.contains(&name.get_ref().as_ref()) {
                others.push((name, item))
            } else {
                self.not_of_all_air(name)
            }
        }
        self.entries(others, &[Table::Air], &mut model);
        ["blow", "draw"].map(|breath| self.layer(part(entries, breath), &[Table::Air]).over(&model))
    }

    fn not_of_all_air(&mut self, name: &Name<'_>) {
        let fault = Fault::new("does not belong here").cure("write it under [air.blow] or [air.draw]");
        self.problems.push(problem(&self.place_of(name), name.get_ref(), fault).without_value());
    }

    fn chambers(&mut self, name: &Name<'_>, item: &Item<'_>) -> Vec<(u32, Layer)> {
        let Some(list) = item.get_ref().as_array() else {
            let fault = Fault::new(format!("is {}; a list of tables is needed", toml_kind(item.get_ref())));
            self.fault(name, item, fault.cure("write [[chamber]] with two brackets, once for each kind of chamber"));
            return Vec::new();
        };
        if list.len() > MOST_HOLES as usize {
            let fault = Fault::new(format!("has {} tables; there are no more than {MOST_HOLES} holes", list.len()));
            self.problems.push(
                problem(&self.place_of(name), "chamber", fault.cure("write one for each kind of chamber"))
                    .without_value(),
            );
            return Vec::new();
        }
        let mut all: Vec<(u32, Layer)> = Vec::new();
        let mut known = BTreeSet::new();
        for item in list {
            let DeValue::Table(table) = item.get_ref() else {
                self.fault(name, item, Fault::new("is no table").cure("write [[chamber]] with its keys below"));
                continue;
            };
            let (holes, layer) = self.chamber(item, table);
            // One complaint a table: whole tables are copied by mistake, not single holes.
            if let Some(twice) = holes.iter().find(|hole| known.contains(*hole)) {
                let fault = Fault::new(format!("hole {twice} has two chambers")).cure("name each hole once");
                let at =
                    part(table, "holes").map_or_else(|| self.value_place(item), |(_, item)| self.value_place(item));
                self.problems.push(problem(&at, "holes", fault));
                continue;
            }
            known.extend(holes.iter().copied());
            all.extend(holes.into_iter().map(|hole| (hole, layer.clone())));
        }
        all
    }

    /// One `[[chamber]]`: its holes, and its three sizes.
    fn chamber(&mut self, item: &Item<'_>, table: &DeTable<'_>) -> (Vec<u32>, Layer) {
        let mut layer = Layer::default();
        let sizes = table.iter().filter(|(name, _)| name.get_ref() != "holes");
        let wrong = self.entries(sizes, &[Table::Chamber], &mut layer);
        let given = |name: &str| layer.get(Table::Chamber, name).is_some() || wrong.iter().any(|key| key.name == name);
        let heading = self.value_place(item);
        let needed = |key: &&Key| matches!(key.left_out, WhenLeftOut::RequiredWithTable(_)) && !given(key.name);
        for key in KEYS.iter().filter(|key| key.table == Table::Chamber).filter(needed) {
            let fault = Fault::new("is missing in this [[chamber]]").cure(format!("give it. {}", key.measure));
            self.problems.push(problem(&heading, key.name, fault).without_value());
        }
        let Some((name, item)) = part(table, "holes") else {
            let fault = Fault::new("is missing in this [[chamber]]").cure("write holes = \"1-4\"");
            self.problems.push(problem(&heading, "holes", fault).without_value());
            return (Vec::new(), layer);
        };
        let text = match item.get_ref() {
            DeValue::Integer(whole) => Some(whole.as_str().to_owned()),
            _ => self.text(name, item),
        };
        let Some(text) = text else { return (Vec::new(), layer) };
        let found = holes(&text);
        if found.is_none() {
            let fault = Fault::new("is no list of holes")
                .cure("write \"1-4\" or \"5\" or \"1,2,7-9\", each hole once, lowest first");
            self.fault(name, item, fault);
        }
        (found.unwrap_or_default(), layer)
    }
}
