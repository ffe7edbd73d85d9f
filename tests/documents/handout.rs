//! The booklet: a whole page, its numbers those of the library, its words those of its numbers.

use std::collections::HashSet;
use std::sync::LazyLock;

use freereed::physics::attack::{Blow, Stop};
use freereed::physics::onset::{Choke, Search};
use freereed::physics::{ReedModel, steady::BranchEnd};
use freereed::print::handout::{Answer, Booklet, Figure, Holds, LESSONS, Tried};
use freereed::sheet::{CheckedReed, ReedFile, Tuning, Value, notes};
use roxmltree::{Document, Node, ParsingOptions};

const DEMO: &str = include_str!("../../data/demo/reed.toml");
/// A reed of a harmonium on its windchest.
const HARMONIUM: &str = "[reed]\nlength_mm = 40\nwidth_mm = 5\nthickness_mm = 0.35\ntip_gap_mm = 1.2\n\
                         [slot]\nside_clearance_mm = 0.06\nplate_thickness_mm = 3\n";
const TINY: &str = "[reed]\nlength_mm = 6.5\nwidth_mm = 1.4\nthickness_mm = 0.13\ntip_gap_mm = 0.12\n\
                    [slot]\nside_clearance_mm = 0.02\n\
                    [chamber]\nvolume_mm3 = 300\nchannel_length_mm = 8\nchannel_area_mm2 = 20\n";
/// Speaks at no pressure.
const MUTE: &str = "[reed]\nlength_mm = 7\nwidth_mm = 1.5\nthickness_mm = 0.2\nquality_factor = 8\ntip_gap_mm = 1.5\n\
                    [slot]\nside_clearance_mm = 0.4\n\
                    [chamber]\nvolume_mm3 = 3000\nchannel_length_mm = 1\nchannel_area_mm2 = 50\n";
/// A weight on the tip, steps in the thickness, a slot off centre.
const LOADED: &str = "[reed]\nlength_mm = 20\nwidth_mm = 3\ntip_mass_mg = 60\ntip_gap_mm = 0.5\n\
                      thickness_stations_mm = [[0, 0.25], [12, 0.14], [16, 0.14], [16, 0.4], [20, 0.4]]\n\
                      [slot]\nleft_clearance_mm = 0.03\nright_clearance_mm = 0.05\n\
                      [chamber]\nvolume_mm3 = 4000\nchannel_length_mm = 20\nchannel_area_mm2 = 40\n";

fn checked(text: &str) -> CheckedReed {
    ReedFile::parse("reed.toml", text).unwrap()
}

fn booklet(text: &str) -> Booklet {
    Booklet::of(&checked(text), "reed.toml", false, &Tuning::default(), &|_| {}).unwrap()
}

/// The demo reed with its tip elsewhere.
fn demo_with_rest(rest: &str) -> String {
    assert!(DEMO.contains("tip_gap_mm = 0.27"));
    DEMO.replace("tip_gap_mm = 0.27", rest)
}

static DEMO_BOOKLET: LazyLock<Booklet> = LazyLock::new(|| booklet(DEMO));

/// Quite different reeds.
static ODD: LazyLock<Vec<Booklet>> = LazyLock::new(|| {
    let stations = demo_with_rest("rest_stations_mm = [[0, 0.02], [5, 0.01], [10, 0.12], [14.2, 0.3]]");
    let (level, sunk) = (demo_with_rest("tip_gap_mm = 0"), demo_with_rest("tip_gap_mm = -0.1"));
    [HARMONIUM, TINY, MUTE, LOADED, &stations, &level, &sunk].into_iter().map(booklet).collect()
});

fn all() -> impl Iterator<Item = &'static Booklet> {
    std::iter::once(&*DEMO_BOOKLET).chain(ODD.iter())
}

/// The page as a strict reader takes it, once its few open tags are closed.
fn strict(html: &str) -> String {
    let tags = html.split_inclusive('>').map(|part| match part.rfind("<meta") {
        Some(_) => format!("{}/>", part.strip_suffix('>').unwrap()),
        None => part.to_owned(),
    });
    tags.collect()
}

fn with_page<T>(html: &str, look: impl Fn(&Document<'_>) -> T) -> T {
    let options = ParsingOptions { allow_dtd: true, ..ParsingOptions::default() };
    look(&Document::parse_with_options(&strict(html), options).unwrap())
}

fn text_of(node: Node<'_, '_>) -> String {
    let text: String = node.descendants().filter(|node| node.is_text()).filter_map(|node| node.text()).collect();
    text.replace('\u{a0}', " ")
}

/// What a reader sees.
fn words(booklet: &Booklet) -> String {
    with_page(&booklet.to_html(), |page| {
        let main = page.descendants().find(|node| node.has_tag_name("main")).unwrap();
        let in_drawing = |node: &Node<'_, '_>| node.ancestors().any(|node| node.has_tag_name("svg"));
        let texts = main.descendants().filter(|node| node.is_text() && !in_drawing(node));
        texts.filter_map(|node| node.text()).collect::<String>().replace('\u{a0}', " ")
    })
}

#[test]
fn the_page_needs_nothing_else() {
    for booklet in all() {
        let html = booklet.to_html();
        for outside in ["<script", "<link", "<img", "<iframe", "@import", "url(", "src=", "javascript:", "onclick="] {
            assert!(!html.contains(outside), "{outside}");
        }
        assert!(!html.replace("http://www.w3.org/2000/svg", "").contains("http"));
    }
}

#[test]
fn links_lead_somewhere_and_names_are_unique() {
    for booklet in all() {
        with_page(&booklet.to_html(), |page| {
            assert_eq!(page.root_element().attribute("lang"), Some("en"));
            let ids: Vec<&str> = page.descendants().filter_map(|node| node.attribute("id")).collect();
            let unique: HashSet<&str> = ids.iter().copied().collect();
            assert_eq!(ids.len(), unique.len());
            let links: Vec<&str> = page.descendants().filter_map(|node| node.attribute("href")).collect();
            assert!(links.len() >= 3 * LESSONS);
            for link in links {
                assert!(unique.contains(link.strip_prefix('#').unwrap()), "{link}");
            }
            for number in 1..=LESSONS {
                for part in ["lesson", "question", "answer"] {
                    let id = format!("{part}-{number}");
                    let node = page.descendants().find(|node| node.attribute("id") == Some(&id)).expect(&id);
                    assert!(text_of(node).split_whitespace().count() > 15, "{id} says next to nothing");
                }
            }
        });
    }
}

#[test]
fn sentences_are_whole() {
    for booklet in all() {
        let words = words(booklet);
        for slip in
            ["NaN", "inf ", "from never", "it never starts from", " ,", " .", "..", ": :", "()", "  ", "-0 ", "+-"]
        {
            let place = words.find(slip);
            assert!(
                place.is_none(),
                "{slip:?} in …{}…",
                &words[place.unwrap().saturating_sub(60)..place.unwrap() + slip.len()]
            );
        }
        assert!(words.contains("lead") && words.contains("beryllium copper") && words.contains("qualified people"));
    }
}

#[test]
fn a_hostile_name_is_only_a_name() {
    let name = "<script>alert(\"&amp;\")</script>'><b>.toml";
    let mut booklet = DEMO_BOOKLET.clone();
    booklet.facts.name = name.to_owned();
    let html = booklet.to_html();
    assert!(!html.contains("<script") && !html.contains("<b>.toml"));
    with_page(&html, |page| {
        let title = page.descendants().find(|node| node.has_tag_name("title")).unwrap();
        assert_eq!(text_of(title), format!("What a free reed does: {name}"));
    });
}

#[test]
fn an_invented_reed_is_said_to_be() {
    let mut booklet = DEMO_BOOKLET.clone();
    assert!(!words(&booklet).contains("invented"));
    booklet.facts.invented = true;
    assert!(words(&booklet).contains("It is invented"));
}

#[test]
fn the_same_reed_gives_the_same_page() {
    let again = booklet(MUTE).to_html();
    assert_eq!(again, ODD[2].to_html());
}

#[test]
fn every_lesson_is_told_when_it_is_done() {
    let told = std::cell::Cell::new(0);
    Booklet::of(&checked(MUTE), "", false, &Tuning::default(), &|_| told.set(told.get() + 1)).unwrap();
    assert_eq!(told.get(), LESSONS);
}

/// What the library says of a reed changed by its keys.
fn agrees(tried: &Tried, reed: &CheckedReed) {
    let model = ReedModel::new(reed.reed.clone()).unwrap();
    let speaking = model.speaking(&Search::default());
    let close = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-6;
    match (tried.onset_pa, speaking.onset) {
        (Some(told), Some(onset)) => assert!(close(told, onset.pressure_pa), "{told} {}", onset.pressure_pa),
        (told, onset) => assert!(told.is_none() && onset.is_none(), "{told:?} {onset:?}"),
    }
    for blown in &tried.blown {
        let attack = model.attack(&Blow::to(blown.pressure_pa), Stop::WhenSteady);
        match blown.answer {
            // The last bit of an input may move a step of the run: its times are good to some thousandths.
            Answer::Speaks { t50_s } => {
                assert!((t50_s / attack.t50_s.unwrap() - 1.0).abs() < 2e-3, "{t50_s} {:?}", attack.t50_s);
            }
            Answer::Silent => assert!(!attack.speaks),
            Answer::Undecided { after_s } => assert!(close(after_s, attack.duration_s)),
        }
    }
}

#[test]
fn bending_in_the_booklet_is_bending_by_the_keys() {
    let (reed, booklet) = (checked(DEMO), &*DEMO_BOOKLET);
    assert_eq!(booklet.gap.tried.len(), 5);
    for tried in &booklet.gap.tried {
        agrees(tried, &reed.with("tip_gap_mm", 1e3 * tried.value).unwrap());
    }
    for tried in &booklet.edge.tried {
        agrees(tried, &reed.with("side_clearance_mm", 1e3 * tried.value).unwrap());
    }
    let own = |tried: &[Tried]| tried.iter().filter(|tried| tried.is_own).count();
    assert_eq!([own(&booklet.gap.tried), own(&booklet.edge.tried), own(&booklet.height.tried)], [1; 3]);
}

#[test]
fn shortening_in_the_booklet_is_shortening_by_the_keys() {
    let reed = checked(DEMO);
    for tried in &DEMO_BOOKLET.height.tried {
        let length_mm = 1e3 * tried.value;
        let short = reed.with("length_mm", length_mm).unwrap().with("tip_gap_mm", 0.27 * length_mm / 14.2).unwrap();
        agrees(tried, &short);
    }
}

#[test]
fn filing_in_the_booklet_is_filing_by_the_keys() {
    let (reed, filing) = (checked(DEMO), &DEMO_BOOKLET.filing);
    let scale = reed.thickness.unwrap().scale;
    let (typed_mm, cut_mm) = (0.175, 1e3 * filing.cut_m / scale);
    let at = |place: f64, cut: f64| (1e3 * place, typed_mm - cut * cut_mm);
    for stretch in &filing.stretches {
        let (from, to) = (stretch.from_m, stretch.to_m);
        let mut stations = vec![at(from, 1.0), at(to, 1.0)];
        if from > 0.0 {
            stations.splice(0..0, [at(0.0, 0.0), at(from, 0.0)]);
        }
        if to < reed.reed.beam.length_m {
            stations.extend([at(to, 0.0), at(reed.reed.beam.length_m, 0.0)]);
        }
        let filed = reed.with("thickness_stations_mm", Value::Stations(stations)).unwrap();
        let pitch = ReedModel::new(filed.reed).unwrap().modes()[0].frequency_hz;
        let moved = notes::cents(pitch, filing.pluck_hz);
        assert!((moved - stretch.cents).abs() < 0.01, "{moved} {}", stretch.cents);
    }
}

#[test]
fn what_is_told_of_the_sounding_reed_is_what_the_branch_says() {
    for (text, booklet) in [(DEMO, &*DEMO_BOOKLET), (HARMONIUM, &ODD[0])] {
        let model = ReedModel::new(checked(text).reed).unwrap();
        let speaking = model.speaking(&Search::default());
        let branch = model.branch(&speaking, speaking.limit_pa).unwrap();
        let expected = match (branch.end, branch.highest_pa) {
            (BranchEnd::Limit, _) => Holds::ToTheLimit,
            (BranchEnd::Rest, Some(high)) => Holds::UpTo(high),
            _ => Holds::NotKnown,
        };
        assert_eq!((booklet.attack.holds, booklet.attack.choke), (expected, speaking.choke));
    }
}

#[test]
fn the_numbers_stand_in_the_text() {
    let words = words(&DEMO_BOOKLET);
    let speaking = ReedModel::new(checked(DEMO).reed).unwrap().speaking(&Search::default());
    let pa = |pressure_pa: f64| format!("{} Pa", freereed::units::significant(pressure_pa, 3));
    assert!(words.contains(&format!("starts from {}", pa(speaking.onset.unwrap().pressure_pa))));
    assert!(words.contains(&format!("hardly builds up any more above {}", pa(speaking.choke.pressure_pa().unwrap()))));
    for tried in &DEMO_BOOKLET.gap.tried {
        for t50_s in tried.blown.iter().filter_map(|blown| blown.answer.t50_s()) {
            assert!(words.contains(&freereed::units::seconds(t50_s)));
        }
    }
}

/// The pressures that start a reed, in order, where it starts.
fn onsets(tried: &[Tried]) -> Vec<f64> {
    tried.iter().filter_map(|tried| tried.onset_pa).collect()
}

fn rises(values: &[f64]) -> bool {
    values.len() > 1 && values.windows(2).all(|pair| pair[1] > 0.98 * pair[0]) && values[values.len() - 1] > values[0]
}

#[test]
fn no_reed_is_told_a_rule_it_does_not_follow() {
    let mut told = [0; 3];
    for booklet in all() {
        let words = words(booklet);
        let rules = [
            ("the wider the gap, the more breath", &booklet.gap.tried),
            ("The wider the slot, the more breath", &booklet.edge.tried),
            ("make the breath that starts it climb with the pitch", &booklet.height.tried),
        ];
        for (k, (rule, tried)) in rules.into_iter().enumerate() {
            assert_eq!(words.contains(rule), rises(&onsets(tried)), "{rule}: {:?}", onsets(tried));
            told[k] += usize::from(words.contains(rule));
        }
    }
    let count = all().count();
    assert!(told.iter().all(|&times| times > 0 && times < count), "{told:?} of {count}");
}

#[test]
fn words_follow_the_values() {
    let mut booklet = DEMO_BOOKLET.clone();
    let mut falling = onsets(&booklet.gap.tried);
    falling.reverse();
    for (tried, onset) in booklet.gap.tried.iter_mut().zip(falling) {
        tried.onset_pa = Some(onset);
    }
    let said = words(&booklet);
    assert!(said.contains("a wider gap needs less breath") && said.contains("Bend it further away"), "{said}");
    for tried in &mut booklet.gap.tried {
        tried.onset_pa = None;
    }
    assert!(words(&booklet).contains("With none of these gaps does this reed start"));

    let mut booklet = DEMO_BOOKLET.clone();
    assert!(words(&booklet).contains("Start gently and swell"));
    booklet.attack.choke = Choke::NoneBelowLimit;
    let said = words(&booklet);
    assert!(said.contains("no breath is too hard") && !said.contains("Start gently and swell"));
    booklet.attack.choke = Choke::Snaps(700.0);
    assert!(words(&booklet).contains("At 700 Pa (71 mm of water) it gives way all at once"));

    let mut booklet = DEMO_BOOKLET.clone();
    assert!(words(&booklet).contains("So the rule holds"));
    booklet.filing.stretches.iter_mut().for_each(|stretch| stretch.cents = -stretch.cents);
    assert!(words(&booklet).contains("the usual rule is turned round"));
    booklet.filing.stretches.iter_mut().for_each(|stretch| stretch.cents = -stretch.cents.abs());
    assert!(words(&booklet).contains("every cut makes it flatter"));
}

#[test]
fn figures_are_numbered_through_and_keep_their_names_apart() {
    let svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 9 9\" role=\"img\"><title>t</title>\
               <clipPath id=\"a\"><rect width=\"9\" height=\"9\"/></clipPath><g clip-path=\"url(#a)\"/></svg>";
    let figure = |caption: &str| Figure { svg: svg.to_owned(), caption: caption.to_owned() };
    let mut booklet = DEMO_BOOKLET.clone();
    assert!(
        !booklet.gap.figures.is_empty() && !booklet.attack.figures.is_empty() && !booklet.filing.figures.is_empty()
    );
    booklet.gap.figures = vec![figure("first"), figure("second")];
    booklet.attack.figures = vec![];
    booklet.filing.figures = vec![figure("<third>")];
    with_page(&booklet.to_html(), |page| {
        let captions: Vec<String> =
            page.descendants().filter(|node| node.has_tag_name("figcaption")).map(text_of).collect();
        assert_eq!(captions, ["Figure 1. first", "Figure 2. second", "Figure 3. <third>"]);
        let ids: Vec<&str> = page.descendants().filter_map(|node| node.attribute("id")).collect();
        assert_eq!(ids.len(), ids.iter().collect::<HashSet<_>>().len());
        for clipped in page.descendants().filter_map(|node| node.attribute("clip-path")) {
            assert!(ids.contains(&clipped.strip_prefix("url(#").unwrap().strip_suffix(')').unwrap()));
        }
    });
}
