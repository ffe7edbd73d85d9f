//! The program under test, a bench to run it on, and small inputs for it.

#![allow(dead_code)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use assert_cmd::Command;
use serde_json::Value;
use tempfile::TempDir;

/// A reed of a chromatic harmonica, everything stated that can be.
pub const REED: &str = "[reed]
length_mm = 12.5
width_mm = 2.1
thickness_mm = 0.14
alloy = \"C51000\"
quality_factor = 60.0
tip_gap_mm = 0.25
[slot]
side_clearance_mm = 0.03
[chamber]
volume_mm3 = 500.0
channel_length_mm = 20.0
channel_area_mm2 = 20.0
";

/// Speaks at no pressure: the slot is far too wide and the metal far too lossy.
pub const MUTE: &str = "[reed]
length_mm = 7
width_mm = 1.5
thickness_mm = 0.2
quality_factor = 8
tip_gap_mm = 1.5
[slot]
side_clearance_mm = 0.4
[chamber]
volume_mm3 = 3000
channel_length_mm = 1
channel_area_mm2 = 50
";

pub const JOB: &str = "sheet = \"sheet.csv\"
[instrument]
name = \"A small set\"
concert_pitch_hz = 442
[defaults]
tip_mass_mg = 0
alloy = \"C51000\"
[[chamber]]
holes = \"1-8\"
volume_mm3 = 400
channel_length_mm = 15
channel_area_mm2 = 20
[player]
soft_pa = 500
normal_pa = 1000
hard_pa = 2000
time_allowed_ms = 250
";

pub const HEAD: &str = "hole,breath,slide,note,length_mm,width_mm,measured_pluck_hz,ring_down_s,tip_gap_mm,side_clearance_mm,leak_mm2,remark";

/// Healthy reeds of the player of [`JOB`], the highest first: the order of rows is the maker's, not the pitch's.
pub const ROWS: [&str; 5] = [
    "8,blow,out,C6,10.3,2,1051.8,0.0292,0.19,0.024,,",
    "7,draw,out,A5,11.2,2.03,884.4,0.0352,0.21,0.025,,",
    "7,blow,out,G5,11.6,2.05,787.2,0.0382,0.22,0.025,,",
    "6,blow,out,E5,12.5,2.07,662.6,0.0456,0.24,0.026,,valve new",
    "5,blow,out,C5,14.3,2.11,525,0.058,0.27,0.027,,",
];

pub fn sheet(rows: &[&str]) -> String {
    format!("{HEAD}\n{}\n", rows.join("\n"))
}

/// A folder of its own, in which the program runs.
pub struct Bench {
    folder: TempDir,
}

impl Bench {
    pub fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    pub fn with(files: &[(&str, &str)]) -> Self {
        let bench = Self::new();
        files.iter().for_each(|(name, text)| bench.write(name, text));
        bench
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn write(&self, name: &str, bytes: impl AsRef<[u8]>) {
        fs::write(self.path(name), bytes).unwrap();
    }

    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap()
    }

    /// Names of the files in a folder of the bench, in order; those that are hidden too.
    pub fn names(&self, folder: &str) -> Vec<String> {
        names_in(&self.path(folder))
    }

    pub fn run(&self, arguments: &[&str]) -> Run {
        let output = freereed().current_dir(self.folder.path()).args(arguments).output().unwrap();
        Run::of(arguments, &output)
    }

    /// Runs a line of shell, in which `$F` is the program.
    pub fn shell(&self, line: &str) -> Run {
        let mut shell = Command::new("bash");
        shell.current_dir(self.folder.path()).env("F", env!("CARGO_BIN_EXE_freereed"));
        shell.args(["-c", line]);
        Run::of(&[line], &shell.output().unwrap())
    }
}

pub fn names_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

pub fn freereed() -> Command {
    Command::new(env!("CARGO_BIN_EXE_freereed"))
}

/// What a call gave.
pub struct Run {
    pub call: String,
    pub code: i32,
    pub out: String,
    pub err: String,
}

impl Run {
    fn of(arguments: &[&str], output: &Output) -> Self {
        let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).expect("UTF-8");
        let run = Self {
            call: arguments.join(" "),
            code: output.status.code().expect("not ended by a signal"),
            out: text(&output.stdout),
            err: text(&output.stderr),
        };
        assert!(!run.err.contains("panicked"), "{}: {}", run.call, run.err);
        run
    }

    #[track_caller]
    pub fn code(self, expected: i32) -> Self {
        assert_eq!(self.code, expected, "{}\n{}{}", self.call, self.out, self.err);
        self
    }

    /// What it printed, held to the schema of its command.
    #[track_caller]
    pub fn json(&self) -> Value {
        let json = serde_json::from_str(&self.out);
        let json = json.unwrap_or_else(|error| panic!("{}: {error}\n{}", self.call, self.out));
        let command = self.call.split_whitespace().find(|word| *word != "$F").unwrap_or_default();
        super::schema::hold(if self.code == 2 { "error" } else { command }, &json);
        json
    }

    /// Standard error without the frame around it and without its line breaks.
    pub fn complaint(&self) -> String {
        let plain: String = self.err.chars().map(|c| if "│╭╰─┬▶×·".contains(c) { ' ' } else { c }).collect();
        plain.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// A refusal: exit code 2, nothing on standard output, and all of `parts` among the complaints.
    #[track_caller]
    pub fn refused(self, parts: &[&str]) -> Self {
        let run = self.code(2);
        assert_eq!(run.out, "", "{}", run.call);
        let complaint = run.complaint();
        for part in parts {
            assert!(complaint.contains(part), "{}\nwants {part:?} in\n{}", run.call, run.err);
        }
        run
    }
}

/// A number in a JSON answer.
#[track_caller]
pub fn number(json: &Value, key: &str) -> f64 {
    json[key].as_f64().unwrap_or_else(|| panic!("{key} is no number: {}", json[key]))
}

/// Places of all nulls in a JSON answer, as `a.b[].c`.
pub fn nulls(json: &Value) -> Vec<String> {
    fn walk(json: &Value, place: &str, found: &mut Vec<String>) {
        match json {
            Value::Null => found.push(place.to_owned()),
            Value::Array(all) => all.iter().for_each(|item| walk(item, &format!("{place}[]"), found)),
            Value::Object(all) => all.iter().for_each(|(key, item)| walk(item, &format!("{place}.{key}"), found)),
            _ => {}
        }
    }
    let mut found = Vec::new();
    walk(json, "", &mut found);
    found.sort();
    found.dedup();
    found
}
