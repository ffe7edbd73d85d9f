//! The key table: one row for each input. A new input is one new row.

use super::keys::{Key, Kind, Table, WhenLeftOut};
use super::spread::{Law, Spread};
use crate::physics::coefficients::{CONTRACTION, DRAG, INERTANCE_FACTOR};

/// Every key of a reed file, a sheet's columns included, in the order in which they are shown.
pub static KEYS: &[Key] = &[
    // The tongue.
    number(Table::Reed, "length_mm", "mm", 1e-3)
        .range(3.0, 80.0, "free reeds of harmonicas, accordions and reed organs")
        .required()
        .spread(Law::Times(1.05), 0.5)
        .means("From the edge of the clamp to the tip, along the tongue.")
        .measured("Calliper over the tongue from the edge of the rivet pad to the tip; or a scaled photograph.", 0.05),
    number(Table::Reed, "width_mm", "mm", 1e-3)
        .range(0.3, 20.0, "narrower is a wire, wider a plate: neither is a beam reed")
        .required_or(&["width_stations_mm"])
        .instead_of(&["width_stations_mm"])
        .spread(Law::Times(1.1), 0.5)
        .means("Width of the tongue, the same all along.")
        .measured("Calliper or micrometer across the tongue.", 0.02),
    stations(Table::Reed, "width_stations_mm")
        .range(0.3, 20.0, "narrower is a wire, wider a plate: neither is a beam reed")
        .optional("width_mm is used")
        .instead_of(&["width_mm"])
        .means("Width at places from the clamp (0) to the tip, linear between them.")
        .measured("Calliper across the tongue at marked places.", 0.02),
    number(Table::Reed, "thickness_mm", "mm", 1e-3)
        .range(0.03, 1.5, "thinner is foil, thicker no hand-tuned reed")
        .required_or(&["thickness_stations_mm", "measured_pluck_hz"])
        .instead_of(&["thickness_stations_mm"])
        .means("Thickness of the tongue, the same all along.")
        .measured("Micrometer with small anvils, a shim under the tongue; mean of several readings.", 0.005),
    stations(Table::Reed, "thickness_stations_mm")
        .range(0.03, 1.5, "thinner is foil, thicker no hand-tuned reed")
        .optional("thickness_mm is used")
        .instead_of(&["thickness_mm", "tip_thinning"])
        .means("Thickness at places from the clamp (0) to the tip, linear between them; two at one place make a step.")
        .measured("Micrometer at marked places.", 0.005),
    number(Table::Reed, "tip_mass_mg", "mg", 1e-6)
        .range(0.0, 2000.0, "a large blob of solder on a low reed")
        .optional("tip_weight_share is used")
        .instead_of(&["tip_weight_share"])
        .means("Solder or other weight on the tip, taken as a point.")
        .measured("Weigh the solder before and after on a milligram scale; or from its size.", 5.0),
    number(Table::Reed, "tip_weight_share", "", 1.0)
        .range(0.0, 1.0, "from none to as much as the tongue without it")
        .assumed(
            0.0,
            "no weight on the tip was stated; better weigh the force that closes it: closing_force_g, a minute on a pocket scale",
        )
        .spread(Law::ToTwice { of_none: 0.05 }, 0.5)
        .instead_of(&["tip_mass_mg", "tip_thinning"])
        .means("Weight at the tip as a share of the tongue's mass without it: what a thickened tip comes to as well.")
        .measured("Better give closing_force_g, from which it is found.", 0.05),
    number(Table::Reed, "tip_thinning", "", 1.0)
        .range(0.0, 0.8, "from an even strip to a tip of a fifth of the root's thickness")
        .optional("the thickness is as given, or the same all along")
        .instead_of(&["thickness_stations_mm", "tip_weight_share"])
        .means("How much thinner the tip is than the root, as a share: the thickness falls evenly from h to (1 - share) h.")
        .measured("Micrometer at root and tip; or give closing_force_g, from which it is found.", 0.05),
    number(Table::Reed, "closing_force_g", "g", GRAM_N)
        .range(0.01, 1000.0, "from the weight of an ant to that of a litre of water")
        .optional("the profile of the tongue is assumed, and with it how stiff it is")
        .instead_of(&["stiffness_n_m"])
        .means(
            "Force that brings the tip down to the plate, in grams as a scale shows it: over the tip gap it is the stiffness. With the plucked pitch it gives thickness and profile.",
        )
        .measured(
            "Lay the plate on a pocket scale, set it to zero, press the very tip down with a needle until it is level with the plate, read; the middle of three.",
            0.05,
        ),
    number(Table::Reed, "stiffness_n_m", "N/m", 1.0)
        .range(0.1, 50000.0, "from a hair to a thick short strip")
        .optional("closing_force_g is used")
        .instead_of(&["closing_force_g"])
        .means("Static stiffness at the tip, in place of closing_force_g: any force there over how far it moves the tip.")
        .measured("A known weight on the tip and its travel under a microscope: 1 g over 1 mm is 9.81 N/m.", 2.0),
    number(Table::Reed, "root_spring_n_m_per_rad", "N m/rad", 1.0)
        .range(1e-4, 1e4, "softer is a hinge, stiffer is built in")
        .assumed_text("built in", "the clamp was not measured; a real one gives a little and flattens the reed")
        .means("How stiffly the clamp holds the root against turning.")
        .measured_without_tolerance("From the pitch before and after the rivet or screw is tightened."),
    text(Table::Reed, "alloy")
        .assumed_text("C26000", "no alloy was stated; cartridge brass is common")
        .means("The metal: an alloy of the alloy table, or one of your own from an [alloys.NAME] table.")
        .measured_without_tolerance(
            "From the maker's or the mill's statement; colour and a magnet tell brass, bronze and steel apart.",
        ),
    text(Table::Reed, "temper")
        .optional("the yield strength is not known from the alloy")
        .means("How hard the strip was rolled, as the alloy table names it: \"H04\", \"R550\".")
        .measured_without_tolerance("From the mill's statement for the strip."),
    number(Table::Reed, "density_kg_m3", "kg/m3", 1.0)
        .range(1000.0, 23000.0, "from the lightest to the densest metals, with room")
        .optional("the alloy's")
        .means("Density of the metal, in place of the alloy's.")
        .measured("Weigh a piece of strip and measure its volume.", 30.0),
    number(Table::Reed, "youngs_modulus_gpa", "GPa", 1e9)
        .range(5.0, 450.0, "from the softest to nearly the stiffest metals")
        .optional("the alloy's")
        .means("Young's modulus of the metal, in place of the alloy's.")
        .measured("From the pitch of a uniform strip of known size, clamped hard.", 3.0),
    number(Table::Reed, "shear_modulus_gpa", "GPa", 1e9)
        .range(1.5, 200.0, "a bit over a third of Young's modulus in most metals")
        .optional("the alloy's; with Young's modulus given, found from it with a Poisson ratio of 0.34 (assumed)")
        .means("Shear modulus of the metal; only the twisting mode needs it.")
        .measured("Not measured in a workshop: from a handbook.", 2.0),
    number(Table::Reed, "yield_mpa", "MPa", 1e6)
        .range(5.0, 3000.0, "from annealed pure metals to the hardest spring steel")
        .optional("the alloy's for the temper stated, else not known")
        .means("Yield strength: the stress at which a bend stays.")
        .measured("From the mill's statement for the strip.", 30.0),
    number(Table::Reed, "tensile_mpa", "MPa", 1e6)
        .range(5.0, 4000.0, "above the yield strength")
        .optional("the alloy's for the temper stated, else the yield strength stands for it, a lower bound")
        .means("Tensile strength: the stress at which it breaks in one pull.")
        .measured_without_tolerance("From the mill's statement for the strip."),
    number(Table::Reed, "fatigue_mpa", "MPa", 1e6)
        .range(1.0, 2000.0, "from soft pure metals to the hardest spring steel")
        .optional("the alloy's for the temper stated, else estimated from the tensile strength")
        .means("Fatigue strength: the stress that may swing about zero for fatigue_cycles before the metal breaks.")
        .measured_without_tolerance("From the mill's statement for the strip; not measured in a workshop."),
    number(Table::Reed, "fatigue_cycles", "", 1.0)
        .range(1e4, 1e12, "from a few minutes of playing to more than a life of it")
        .optional("1e8, the usual number for copper alloys (assumed), where fatigue_mpa is given")
        .means("Number of cycles that fatigue_mpa is stated for.")
        .measured_without_tolerance("From the same statement."),
    number(Table::Reed, "quality_factor", "", 1.0)
        .range(5.0, 2000.0, "below is hardly a vibration, above no mounted reed")
        .assumed_text("100 sqrt(f/440 Hz) at the plucked pitch f", "the loss was not measured; plausible 0.4 to 4 times that")
        .spread(Law::Times(2.5), 0.5)
        .instead_of(&["ring_down_s"])
        .means("Quality factor of the tongue: pi times the number of swings in which it falls to 1/e.")
        .measured("Better give ring_down_s.", 10.0),
    number(Table::Reed, "ring_down_s", "s", 1.0)
        .range(1e-4, 50.0, "shorter than a swing or longer than any mounted reed rings")
        .optional("quality_factor is used")
        .instead_of(&["quality_factor"])
        .means("Time in which the swing after a pluck falls to 1/e (37 %).")
        .measured(
            "Record a pluck close by and let freereed listen to it, or read the envelope in a sound editor.",
            0.01,
        ),
    number(Table::Reed, "tip_gap_mm", "mm", 1e-3)
        .range(-0.5, 3.0, "from a tip sunk into the slot to more than any reed can start from")
        .required_or(&["rest_stations_mm"])
        .means("Height of the tip's underside above the plate at rest; negative is into the slot.")
        .measured("Feeler gauges between tip and plate, or a microscope with a scale from the side.", 0.02),
    number(Table::Reed, "root_gap_mm", "mm", 1e-3)
        .range(-0.5, 3.0, "as for the tip gap")
        .assumed(0.0, "the root was not measured; taken to lie on the plate")
        .means("Height of the underside above the plate at the clamp.")
        .measured("Feeler gauge beside the clamp.", 0.02),
    number(Table::Reed, "rest_exponent", "", 1.0)
        .range(1.0, 4.0, "1 is straight, 4 bent near the tip")
        .assumed(2.0, "the curve at rest was not measured; a gentle even curve")
        .spread(Law::Even { least: 1.5, most: 3.0 }, 0.5)
        .means("How the tongue rises from root to tip at rest: gap = root + (tip - root) (s/L)^exponent.")
        .measured("Sight along the plate; or measure the height half-way: ratio 1/2 is 1, 1/4 is 2, 1/8 is 3.", 0.3),
    stations(Table::Reed, "rest_stations_mm")
        .range(-0.5, 3.0, "as for the tip gap")
        .optional("tip_gap_mm, root_gap_mm and rest_exponent are used")
        .instead_of(&["tip_gap_mm", "root_gap_mm", "rest_exponent"])
        .means("Height of the underside above the plate at places from the clamp (0) to the tip, smooth between them.")
        .measured("Dial gauge or microscope at marked places.", 0.02),
    number(Table::Reed, "measured_pluck_hz", "Hz", 1.0)
        .range(5.0, 20000.0, "what can be plucked and heard")
        .optional("the pitch is computed from the sizes alone")
        .means("Pitch of the tongue when plucked in its place, at 20 degC; sets the scale of the thickness.")
        .measured("Pluck with a thin steel wire close to a microphone; mean of several plucks. In a sheet also as a tuner set to the job's concert pitch shows it: C4 -3.", 0.5),
    number(Table::Reed, "measured_sounding_hz", "Hz", 1.0)
        .range(5.0, 20000.0, "what can be heard")
        .optional("no sounding pitch to compare with")
        .means("Pitch when blown at measured_at_pa; used for differences only.")
        .measured("Tuner or recording, steady pressure. In a sheet also as the tuner shows it: C4 -3.", 0.5),
    number(Table::Reed, "measured_at_pa", "Pa", 1.0)
        .range(1.0, 50000.0, "from nothing felt to more than lungs give")
        .optional("measured_sounding_hz and measured_swing_mm are not used")
        .means("Pressure at which measured_sounding_hz and measured_swing_mm were taken.")
        .measured("Water manometer on the wind line or beside the mouth: 1 mm of water is 9.81 Pa.", 20.0),
    number(Table::Reed, "measured_swing_mm", "mm", 1e-3)
        .range(0.001, 20.0, "from what a microscope shows to half the length of a big reed")
        .optional("swing, stress and level are the model's own, which are weak")
        .means(
            "How far the tip swings to either side of its middle when blown at measured_at_pa: half its whole travel.",
        )
        .measured(
            "Width of the blur of the tip under a microscope or against a scale, less the thickness; half of it.",
            0.05,
        ),
    number(Table::Reed, "softest_blow_pa", "Pa", 1.0)
        .range(1.0, 50000.0, "from nothing felt to more than lungs give")
        .optional("no measured onset to compare with")
        .means("Least pressure at which the reed starts by itself.")
        .measured("Water manometer while the pressure is raised slowly.", 20.0),
    degrees(Table::Reed, "temperature_c")
        .range(-40.0, 120.0, "where the alloy's coefficients hold")
        .optional("modulus and sizes are as given, at 20 degC")
        .means("Temperature of the tongue; with it, modulus and sizes follow temperature from 20 degC.")
        .measured("Thermometer in the case or room after an hour; when played, between room and breath.", 1.0),
    // The slot.
    number(Table::Slot, "side_clearance_mm", "mm", 1e-3)
        .range(0.003, 0.5, "closer touches, wider no longer is a reed in a slot")
        .assumed(0.03, "the clearance was not measured; a careful hand's work")
        .instead_of(SIDES)
        .means("From each edge of the tongue to the slot's wall, the same both sides and all along.")
        .measured("Half of slot width minus tongue width; feeler foil; or a photograph against light.", 0.01),
    stations(Table::Slot, "side_clearance_stations_mm")
        .range(0.003, 0.5, "closer touches, wider no longer is a reed in a slot")
        .optional("side_clearance_mm is used")
        .instead_of(&[
            "side_clearance_mm",
            "left_clearance_mm",
            "left_clearance_stations_mm",
            "right_clearance_mm",
            "right_clearance_stations_mm",
        ])
        .means("Side clearance at places from the clamp (0) to the tip, the same both sides.")
        .measured("As side_clearance_mm, at marked places.", 0.01),
    number(Table::Slot, "left_clearance_mm", "mm", 1e-3)
        .range(0.003, 0.5, "closer touches, wider no longer is a reed in a slot")
        .optional("side_clearance_mm is used")
        .instead_of(&["side_clearance_mm", "side_clearance_stations_mm", "left_clearance_stations_mm"])
        .means("From the left edge to the slot's wall, seen from above with the clamp below.")
        .measured("Feeler foil, or a photograph against light.", 0.01),
    stations(Table::Slot, "left_clearance_stations_mm")
        .range(0.003, 0.5, "closer touches, wider no longer is a reed in a slot")
        .optional("left_clearance_mm is used")
        .instead_of(&["side_clearance_mm", "side_clearance_stations_mm", "left_clearance_mm"])
        .means("Left clearance at places from the clamp (0) to the tip.")
        .measured("As left_clearance_mm, at marked places.", 0.01),
    number(Table::Slot, "right_clearance_mm", "mm", 1e-3)
        .range(0.003, 0.5, "closer touches, wider no longer is a reed in a slot")
        .optional("side_clearance_mm is used")
        .instead_of(&["side_clearance_mm", "side_clearance_stations_mm", "right_clearance_stations_mm"])
        .means("From the right edge to the slot's wall, seen from above with the clamp below.")
        .measured("Feeler foil, or a photograph against light.", 0.01),
    stations(Table::Slot, "right_clearance_stations_mm")
        .range(0.003, 0.5, "closer touches, wider no longer is a reed in a slot")
        .optional("right_clearance_mm is used")
        .instead_of(&["side_clearance_mm", "side_clearance_stations_mm", "right_clearance_mm"])
        .means("Right clearance at places from the clamp (0) to the tip.")
        .measured("As right_clearance_mm, at marked places.", 0.01),
    number(Table::Slot, "tip_clearance_mm", "mm", 1e-3)
        .range(0.003, 0.5, "closer touches, wider no longer is a reed in a slot")
        .assumed(0.03, "the clearance was not measured; a careful hand's work")
        .means("From the tip to the end wall of the slot.")
        .measured("Feeler foil, or a photograph against light.", 0.01),
    number(Table::Slot, "plate_thickness_mm", "mm", 1e-3)
        .range(0.2, 10.0, "from foil to a reed-organ shoe")
        .assumed(1.0, "the plate was not measured; about what harmonica plates are")
        .means("Thickness of the plate at the slot.")
        .measured("Calliper on the plate's edge.", 0.02),
    number(Table::Slot, "leak_mm2", "mm2", 1e-6)
        .range(0.0, 20.0, "a hole of 5 mm leaks past any reed")
        .assumed(0.0, "no leak was stated")
        .spread(Law::Exponential { mean: 0.1 }, 0.5)
        .means("Effective area of leaks beside the reed: plate, valve, comb.")
        .measured("Pressure drop with the slot taped over; or leave out.", 0.05),
    // The chamber and its channel.
    number(Table::Chamber, "volume_mm3", "mm3", 1e-9)
        .range(5.0, 1e7, "from the space under a small reed to ten litres")
        .required_with_table("a large windchest, or what the layout of the job suggests")
        .spread(Law::Times(1.5), 1.0)
        .means("Air volume behind the reed, the slot not counted.")
        .measured("From its sizes; or fill it with water from a syringe.", 20.0),
    number(Table::Chamber, "channel_length_mm", "mm", 1e-3)
        .range(0.5, 500.0, "from a hole in thin sheet to half a metre")
        .required_with_table("as volume_mm3")
        .spread(Law::Times(1.5), 1.0)
        .means("Length of the channel from the mouth to the chamber.")
        .measured("Depth gauge of a calliper.", 0.5),
    number(Table::Chamber, "channel_area_mm2", "mm2", 1e-6)
        .range(0.2, 2000.0, "from a pinhole to an open chest")
        .required_with_table("as volume_mm3")
        .spread(Law::Times(1.5), 1.0)
        .means("Cross-section of that channel.")
        .measured("Width times height at the narrowest.", 0.5),
    number(Table::Chamber, "channel_perimeter_mm", "mm", 1e-3)
        .range(1.6, 500.0, "from around a pinhole to around an open chest")
        .optional("that of a round channel")
        .means("Round the cross-section of that channel, along its wall: the longer, the more the wall takes.")
        .measured("Twice width plus height.", 0.5),
    // The air.
    number(Table::Air, "density_kg_m3", "kg/m3", 1.0)
        .range(0.3, 5.0, "from thin hot air to compressed or heavy gas")
        .assumed(1.13, "breath at about 37 degC")
        .instead_of(STATE)
        .means("Density of the air that passes the reed; with it sound_speed_m_s and viscosity_pa_s.")
        .measured("From tables; or give temperature, humidity, carbon dioxide and pressure.", 0.01),
    number(Table::Air, "sound_speed_m_s", "m/s", 1.0)
        .range(200.0, 1100.0, "from heavy gas to helium")
        .assumed(353.0, "breath at about 37 degC")
        .instead_of(STATE)
        .means("Speed of sound in that air.")
        .measured("As density_kg_m3.", 1.0),
    number(Table::Air, "viscosity_pa_s", "Pa s", 1.0)
        .range(5e-6, 5e-5, "gases near room temperature")
        .assumed(1.9e-5, "breath at about 37 degC")
        .instead_of(STATE)
        .means("Dynamic viscosity of that air.")
        .measured("As density_kg_m3.", 2e-7),
    degrees(Table::Air, "temperature_c")
        .range(-20.0, 60.0, "where people play; the air formulas are stated for less")
        .optional("with any other of these four given: 34 degC breath, 20 degC room (assumed)")
        .instead_of(PROPERTIES)
        .means("Temperature of the air that passes the reed.")
        .measured("Thermometer in the air stream.", 1.0),
    number(Table::Air, "humidity_percent", "%", 1e-2)
        .range(0.0, 100.0, "relative humidity")
        .optional("with any other of these four given: 90 % breath, 50 % room (assumed)")
        .instead_of(PROPERTIES)
        .means("Relative humidity of that air.")
        .measured("Hygrometer.", 5.0),
    number(Table::Air, "co2_percent", "%", 1e-2)
        .range(0.0, 20.0, "breath holds four to five")
        .optional("with any other of these four given: 4 % breath, 0.04 % room (assumed)")
        .instead_of(PROPERTIES)
        .means("Carbon dioxide in that air, by volume.")
        .measured("Room meter; breath is about 4 %.", 0.5),
    number(Table::Air, "pressure_kpa", "kPa", 1e3)
        .range(50.0, 120.0, "from high mountains to a deep valley")
        .optional("with any other of these four given: 101.325 kPa (assumed)")
        .instead_of(PROPERTIES)
        .means("Air pressure where the instrument is played, not reduced to sea level.")
        .measured("Barometer.", 0.5),
    number(Table::Air, "inertance_factor", "", 1.0)
        .range(0.5, 3.0, "from half to three times what its sizes say")
        .assumed(
            INERTANCE_FACTOR,
            "end corrections by theory give 1, growth and attack times that were measured ask for more; plausible 0.9 to 1.8",
        )
        .spread(Law::Times(1.4), 1.0)
        .means("Factor on the inertance of the air in slot and channel.")
        .measured_without_tolerance("Fitted, where pitch plucked and at the softest blow, or growth, were measured."),
    number(Table::Air, "contraction", "", 1.0)
        .range(0.4, 1.0, "from a sharper edge than any to a rounded one")
        .assumed(CONTRACTION, "a jet through a sharp slit by theory; plausible 0.58 to 0.75")
        .spread(Law::Even { least: 0.58, most: 0.75 }, 1.0)
        .means("How much narrower the jet is than the opening it leaves.")
        .measured_without_tolerance("Not measured in a workshop."),
    number(Table::Air, "drag_coefficient", "", 1.0)
        .range(0.0, 30.0, "from none to far more than any plate was found to have")
        .assumed(DRAG, "an oscillating plate (Graham 1980); plausible 3 to 8.5")
        .spread(Law::Times(1.7), 1.0)
        .means("Drag of the tongue moving broadside through the air.")
        .measured_without_tolerance("Not measured in a workshop."),
    // The player.
    number(Table::Player, "lung_resistance_pa_s_m3", "Pa s/m3", 1.0)
        .range(1e3, 1e9, "from open windpipe to nearly closed throat; plausible 2e6")
        .required_with_table("the mouth pressure is prescribed, when both player keys are left out")
        .spread(Law::Times(2.0), 1.0)
        .means("Resistance between the lungs and the mouth.")
        .measured_without_tolerance("Pressure drop over flow; hard to measure, plausible 2e6."),
    number(Table::Player, "mouth_volume_cm3", "cm3", 1e-6)
        .range(0.1, 1000.0, "from a closed mouth to a bellows; plausible 80")
        .required_with_table("as lung_resistance_pa_s_m3")
        .spread(Law::Times(1.6), 1.0)
        .means("Volume of the mouth cavity.")
        .measured_without_tolerance("A mouthful of water."),
];

/// The weight of a gram, with the standard acceleration of free fall (exact: CGPM 1901).
const GRAM_N: f64 = 9.80665e-3;
const SIDES: &[&str] = &[
    "side_clearance_stations_mm",
    "left_clearance_mm",
    "left_clearance_stations_mm",
    "right_clearance_mm",
    "right_clearance_stations_mm",
];
const STATE: &[&str] = &["temperature_c", "humidity_percent", "co2_percent", "pressure_kpa"];
const PROPERTIES: &[&str] = &["density_kg_m3", "sound_speed_m_s", "viscosity_pa_s"];

const fn row(table: Table, name: &'static str, unit: &'static str, factor: f64, kind: Kind) -> Key {
    Key {
        table,
        name,
        unit,
        factor,
        offset: 0.0,
        kind,
        least: f64::NEG_INFINITY,
        most: f64::INFINITY,
        range_reason: "",
        left_out: WhenLeftOut::Required(&[]),
        instead_of: &[],
        meaning: "",
        measure: "",
        tolerance: None,
        spread: None,
    }
}

const fn number(table: Table, name: &'static str, unit: &'static str, factor: f64) -> Key {
    row(table, name, unit, factor, Kind::Number)
}

const fn degrees(table: Table, name: &'static str) -> Key {
    Key { offset: 273.15, ..row(table, name, "degC", 1.0, Kind::Number) }
}

const fn stations(table: Table, name: &'static str) -> Key {
    row(table, name, "mm", 1e-3, Kind::Stations)
}

const fn text(table: Table, name: &'static str) -> Key {
    row(table, name, "", 1.0, Kind::Text)
}

impl Key {
    const fn range(self, least: f64, most: f64, range_reason: &'static str) -> Self {
        Self { least, most, range_reason, ..self }
    }

    const fn required(self) -> Self {
        self.required_or(&[])
    }

    const fn required_or(self, others: &'static [&'static str]) -> Self {
        Self { left_out: WhenLeftOut::Required(others), ..self }
    }

    const fn required_with_table(self, without_table: &'static str) -> Self {
        Self { left_out: WhenLeftOut::RequiredWithTable(without_table), ..self }
    }

    const fn assumed(self, value: f64, why: &'static str) -> Self {
        Self { left_out: WhenLeftOut::Assumed { value, why }, ..self }
    }

    const fn assumed_text(self, value: &'static str, why: &'static str) -> Self {
        Self { left_out: WhenLeftOut::AssumedText { value, why }, ..self }
    }

    const fn optional(self, then: &'static str) -> Self {
        Self { left_out: WhenLeftOut::Optional(then), ..self }
    }

    const fn spread(self, law: Law, common: f64) -> Self {
        Self { spread: Some(Spread { law, common }), ..self }
    }

    const fn instead_of(self, instead_of: &'static [&'static str]) -> Self {
        Self { instead_of, ..self }
    }

    const fn means(self, meaning: &'static str) -> Self {
        Self { meaning, ..self }
    }

    const fn measured(self, measure: &'static str, tolerance: f64) -> Self {
        Self { measure, tolerance: Some(tolerance), ..self }
    }

    const fn measured_without_tolerance(self, measure: &'static str) -> Self {
        Self { measure, ..self }
    }
}
