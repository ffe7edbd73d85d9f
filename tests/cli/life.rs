//! `freereed life` as it is called.

use crate::support::cli::{Bench, JOB, REED, ROWS, number, sheet};

fn reed(more: &str) -> String {
    REED.replace("alloy =", &format!("{more}\nalloy ="))
}

#[test]
fn hours_only_where_the_swing_was_measured() {
    let swing = "temper = \"H08\"\nmeasured_swing_mm = 0.5\nmeasured_at_pa = 1000";
    let bench = Bench::with(&[("model.toml", &reed("temper = \"H08\"")), ("swing.toml", &reed(swing))]);
    let model = bench.run(&["life", "model.toml"]).code(0);
    for part in
        ["bears a tip swing of", "is to be measured", "not given", "polished along", "Stop:", "Care:", "Assumed here:"]
    {
        assert!(model.out.contains(part), "wants {part} in\n{}", model.out);
    }
    assert!(!model.out.contains("safety against"), "{}", model.out);
    let measured = bench.run(&["life", "swing.toml"]).code(0);
    for part in ["h of playing", "safety against breaking", "as measured"] {
        assert!(measured.out.contains(part), "wants {part} in\n{}", measured.out);
    }
    let json = bench.run(&["life", "swing.toml", "--pressure-pa", "1000", "--json"]).code(0).json();
    assert!((number(&json["plan"], "tip_swing_m") - 0.5e-3).abs() < 1e-9);
    let hours = json["plan"]["hours_to_break_between"][0].as_f64().unwrap();
    let cycles = json["plan"]["cycles_to_break_between"][0].as_f64().unwrap();
    let per_hour = 0.02 * 3600.0 * number(&json["plan"], "frequency_hz");
    assert!((hours * per_hour / cycles - 1.0).abs() < 1e-9);
    let double = ["life", "swing.toml", "--pressure-pa", "1000", "--share-percent", "4", "--json"];
    let double = bench.run(&double).code(0).json();
    let halved = double["plan"]["hours_to_break_between"][0].as_f64().unwrap();
    assert!((2.0 * halved / hours - 1.0).abs() < 1e-9);
}

#[test]
fn a_set_in_the_order_of_failing() {
    let job = JOB.replace("alloy = \"C51000\"", "alloy = \"C51000\"\ntemper = \"H08\"");
    let bench = Bench::with(&[("job.toml", &job), ("sheet.csv", &sheet(&ROWS))]);
    let text = bench.run(&["life", "--job", "job.toml"]).code(0);
    assert!(text.out.contains("which reed fails first") && text.out.contains("no swing was measured"), "{}", text.out);
    let json = bench.run(&["life", "--job", "job.toml", "--json"]).code(0).json();
    let reeds = json["reeds"].as_array().unwrap();
    let safety: Vec<f64> = reeds.iter().map(|reed| reed["safety_factor_between"][0].as_f64().unwrap()).collect();
    assert_eq!(safety.len(), ROWS.len());
    assert!(safety.windows(2).all(|pair| pair[0] <= pair[1]), "{safety:?}");
    assert!(reeds.iter().all(|reed| reed["hours_to_break_between"].is_null()));
    let first = reeds[0]["reed"].as_str().unwrap();
    let one = bench.run(&["life", "--job", "job.toml", "--reed", first, "--json"]).code(0).json();
    assert_eq!(one["plan"]["safety_factor_between"], reeds[0]["safety_factor_between"]);
    // A bad row is told, the others are ranked.
    let bad = sheet(&[ROWS[0], "7,draw,out,A5,nonsense,2.03,884.4,0.0352,0.21,0.025,,"]);
    bench.write("sheet.csv", bad);
    let some = bench.run(&["life", "--job", "job.toml"]).code(1);
    assert!(some.out.contains("8-blow-out") && some.err.contains("nonsense"), "{}{}", some.out, some.err);
}

#[test]
fn bad_input_is_refused_with_its_cure() {
    let bench = Bench::with(&[("reed.toml", REED), ("hard.toml", &reed("temper = \"H08\""))]);
    let refused = |call: &[&str], parts: &[&str]| {
        bench.run(&[&["life"], call].concat()).refused(parts);
    };
    refused(&["reed.toml"], &["the strength of C51000 is not known", "give temper (H01"]);
    refused(&["hard.toml", "--pressure-pa", "3"], &["does not sound at 3 Pa", "at which it does"]);
    refused(&["hard.toml", "--surface", "polish"], &["did you mean polished?"]);
    refused(&["hard.toml", "--scratch-um", "5"], &["5x5"]);
    refused(&["hard.toml", "--share-percent", "0"], &["0.01 to 100 percent"]);
    refused(&["--reed", "5-blow-out"], &["--job"]);
    refused(&[], &["FILE"]);
}
