//! `freereed care`: the plans of the library as the bench reads them.

use crate::support::cli::{Bench, REED, number};
use freereed::sheet::ReedFile;
use freereed::workshop::care::Care;

#[test]
fn without_a_choice_all_are_listed_with_their_minutes() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let told = bench.run(&["care", "reed.toml"]).code(0).out;
    for care in Care::ALL {
        let line = told.lines().find(|line| line.trim_start().starts_with(&format!("{} ", care.name()))).unwrap();
        assert!(line.contains(care.title()) && line.contains(" minute"), "{line}");
        assert!(line.contains(&format!(" {} minute", care.usual_minutes())), "{line}");
    }
    let json = bench.run(&["care", "reed.toml", "--json"]).code(0).json();
    let named: Vec<&str> = json["care"].as_array().unwrap().iter().map(|one| one["care"].as_str().unwrap()).collect();
    assert_eq!(named, Care::ALL.map(Care::name));
}

#[test]
fn a_plan_is_told_whole() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let reed = ReedFile::parse("reed.toml", REED).unwrap();
    let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    for care in Care::ALL {
        let (plan, call) = (care.plan(&reed), ["care", "reed.toml", "--do", care.name()]);
        let told = plain(&bench.run(&call).code(0).out);
        let tells = plan.tells.iter().flat_map(|tell| [&tell.found, &tell.means]);
        for said in plan.steps.steps.iter().chain([&plan.steps.stop, &plan.success]).chain(tells) {
            assert!(told.contains(&plain(said)), "{said} is not in\n{told}");
        }
        for caution in &plan.cautions {
            assert!(told.contains(&plain(&caution.sentence())), "{told}");
        }
        let json = bench.run(&[&call[..], &["--json"]].concat()).code(0).json();
        assert_eq!(number(&json["plan"], "minutes"), care.usual_minutes());
        assert_eq!(json["plan"]["tells"].as_array().unwrap().len(), plan.tells.len());
        assert_eq!(json["steps"].as_array().unwrap().len(), plan.steps.steps.len());
    }
    bench.run(&["care", "reed.toml", "--do", "cleen"]).refused(&["clean", "look-for-loose-rivet"]);
}
