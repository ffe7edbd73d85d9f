//! The program as a whole: exit codes, help, a reader who goes away.

use crate::support::cli::{Bench, MUTE, REED};

#[test]
fn help_and_version_are_no_failure() {
    let bench = Bench::new();
    let help = bench.run(&["--help"]).code(0).out;
    for command in ["predict", "attack", "assess", "verify", "keys"] {
        assert!(help.contains(command), "{help}");
        let own = bench.run(&[command, "--help"]).code(0).out;
        assert!(own.contains("Usage: freereed "), "{own}");
    }
    assert!(help.contains("Exit codes: 0 done"), "{help}");
    assert!(bench.run(&["--version"]).code(0).out.starts_with("freereed "));
}

#[test]
fn calls_that_cannot_be_understood_end_with_two() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    for call in [
        &[][..],
        &["tune"],
        &["predict"],
        &["predict", "reed.toml", "--nonsense"],
        &["predict", "reed.toml", "reed.toml"],
        &["attack", "reed.toml"],
        &["assess"],
        &["keys", "--nonsense"],
    ] {
        let run = bench.run(call).code(2);
        assert!(run.out.is_empty() && run.err.contains("Usage") | run.err.contains("--help"), "{}", run.err);
    }
}

#[test]
fn a_verdict_on_a_reed_is_no_failure() {
    let bench = Bench::with(&[("mute.toml", MUTE)]);
    bench.run(&["predict", "mute.toml"]).code(0);
    bench.run(&["attack", "mute.toml", "--pressure-pa", "100"]).code(0);
}

#[test]
fn keys_lists_every_key() {
    let out = Bench::new().run(&["keys"]).code(0).out;
    for key in freereed::sheet::KEYS {
        assert!(out.contains(&format!("| `{}` |", key.name)), "{}", key.name);
    }
}

#[cfg(unix)]
#[test]
fn a_reader_who_goes_away_is_no_failure() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let status = "exit ${PIPESTATUS[0]}";
    let first = bench.shell(&format!("\"$F\" predict reed.toml --json | head -1; {status}")).code(0);
    assert_eq!(first.out, "{\n");
    // Closed before anything is printed.
    for call in ["keys", "predict reed.toml", "attack reed.toml --pressure-pa 9 --duration-s 0.01 --json", "--help"] {
        let run = bench.shell(&format!("\"$F\" {call} | exec 0<&-; {status}"));
        assert_eq!((run.code, run.err.as_str()), (0, ""), "{call}");
    }
}

#[cfg(unix)]
#[test]
fn a_refusal_that_nobody_reads_is_still_a_refusal() {
    let bench = Bench::new();
    let status = "exit ${PIPESTATUS[0]}";
    for call in ["predict missing.toml --json", "predict --nonsense --json", "predict missing.toml"] {
        // First standard output, then both are closed.
        for line in [format!("\"$F\" {call} | sleep 0; {status}"), format!("\"$F\" {call} 2>&1 | exec 0<&-; {status}")]
        {
            bench.shell(&line).code(2);
        }
    }
    bench.shell("\"$F\" predict missing.toml --json >&- 2>&-").code(2);
}

#[test]
fn what_a_set_may_say_is_found_from_help() {
    let told = Bench::new().run(&["assess", "--help"]).code(0).out;
    for part in ["too stiff, airy, late, good", "[target]", "rounds/", "freereed keys"] {
        assert!(told.contains(part), "{part} is not in\n{told}");
    }
}
