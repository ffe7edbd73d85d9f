//! `freereed regap`: another tip gap by bending.

mod facts;

use clap::{ArgGroup, Args};
use freereed::answer::Conditions;
use freereed::instrument::Neighbours;
use freereed::instrument::balance::{BalanceOptions, ReedBalance, Verdict};
use freereed::print::{balance as of_balance, regap as print};
use freereed::sheet::Job;
use freereed::sheet::keys;
use freereed::units::metres;
use freereed::workshop::bend::Support;
use freereed::workshop::regap::{Instead, Pushed, RegapOptions, RegapRefusal, WantedGap, regap};
use freereed::workshop::{Effect, Steps};
use serde_json::{Map, json};

use super::Outcome;
use super::attack::within;
use super::balance::{assessed, balanced};
use super::bench::{BenchArguments, Report};
use super::failure::Failure;
use super::predict::pressure;
use super::subject::Subject;

#[derive(Args)]
#[command(group = ArgGroup::new("gap").required(true).args(["to_mm", "by_mm", "best", "as_neighbours"]))]
pub struct Arguments {
    #[command(flatten)]
    pub bench: BenchArguments,
    /// To this tip gap, mm
    #[arg(long, value_name = "MM", value_parser = gap, allow_hyphen_values = true)]
    to_mm: Option<f64>,
    /// By so much, mm: +0.03, -0.05
    #[arg(long, value_name = "MM", value_parser = change, allow_hyphen_values = true)]
    by_mm: Option<f64>,
    /// To the gap that suits best: of a reed of a job the one that `balance` gives it in the set, of a reed by itself the
    /// one, in steps of 0.01 mm, with the most room for playing from soft to hard
    #[arg(long)]
    best: bool,
    /// To the gap that the run of its neighbours in the job has at its note
    #[arg(long, requires = "job")]
    as_neighbours: bool,
    /// Soft playing, Pa, for --best of a reed by itself; without it 500
    #[arg(long, value_name = "P", value_parser = pressure, requires = "best", conflicts_with = "job")]
    soft_pa: Option<f64>,
    /// Hard playing, Pa, for --best of a reed by itself; without it 500
    #[arg(long, value_name = "P", value_parser = pressure, requires = "best", conflicts_with = "job")]
    hard_pa: Option<f64>,
    /// Time the reed may take to speak, ms; without it the player's of the job, else 100
    #[arg(long, value_name = "MS", value_parser = allowed)]
    allowed_ms: Option<f64>,
    /// Where to push, mm from the clamp; without it the place from 0.4 to 0.7 of the length that strains the tongue least
    #[arg(long, value_name = "MM", value_parser = place)]
    at_mm: Option<f64>,
    /// Bend it over an edge that stands so high at such a place, mm: 0.05@4; pushing down the thickness of a shim on the
    /// plate, lifting the lower edge of a bar less the thickness of the tongue
    #[arg(long, value_name = "HEIGHT@PLACE", value_parser = shim, allow_hyphen_values = true)]
    shim_mm: Option<Support>,
    /// After a push: how far the place at --at-mm went, mm, from where it lay before the first push
    #[arg(long, value_name = "MM", value_parser = travel, requires_all = ["gap_now_mm", "at_mm"])]
    pushed_mm: Option<f64>,
    /// After a push: the tip gap now, mm; the file still says the gap before the first push
    #[arg(long, value_name = "MM", value_parser = gap, requires = "pushed_mm", allow_hyphen_values = true)]
    gap_now_mm: Option<f64>,
    /// How well you measure the tip gap, mm; without it as the job states, else 0.02
    #[arg(long, value_name = "MM", value_parser = tolerance)]
    gap_within_mm: Option<f64>,
}

fn gap(typed: &str) -> Result<f64, String> {
    let key = keys::find("tip_gap_mm").expect("a key of the table");
    within(typed, key.least, key.most, &format!("a tip gap is {}", key.bounds_text())).map(metre)
}

fn change(typed: &str) -> Result<f64, String> {
    within(typed, -3.5, 3.5, "a change of gap is -3.5 to 3.5 mm").map(metre)
}

fn place(typed: &str) -> Result<f64, String> {
    within(typed, 0.1, 120.0, "a place is 0.1 to 120 mm from the clamp").map(metre)
}

fn travel(typed: &str) -> Result<f64, String> {
    within(typed, 0.01, 50.0, "a travel is 0.01 to 50 mm, the way the tongue was pushed").map(metre)
}

fn tolerance(typed: &str) -> Result<f64, String> {
    within(typed, 0.001, 0.2, "a gap is measured to 0.001 to 0.2 mm").map(metre)
}

fn allowed(typed: &str) -> Result<f64, String> {
    within(typed, 1.0, 5000.0, "a time to speak is 1 to 5000 ms")
}

fn shim(typed: &str) -> Result<Support, String> {
    let (height, at) = typed.split_once('@').ok_or("write HEIGHT@PLACE in mm, for instance 0.05@4")?;
    let height_m = within(height, -1.0, 3.0, "an edge stands -1 to 3 mm high").map(metre)?;
    Ok(Support { place_m: place(at)?, height_m })
}

fn metre(mm: f64) -> f64 {
    1e-3 * mm
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let subject = arguments.bench.subject()?;
    let job = arguments.bench.job()?;
    let given = job.as_ref().filter(|_| arguments.best).map(|(job, id)| given(job, id));
    if let Some(given) = given.as_ref().filter(|given| given.change_m() == 0.0) {
        return nothing_to_do(arguments, &subject, &left(given));
    }
    let usual_m = job.as_ref().filter(|_| arguments.as_neighbours).and_then(|(job, id)| usual_m(job, id));
    let options = options(arguments, &subject, given.as_ref().map(|given| given.wanted.gap_m).or(usual_m))?;
    let plan = match regap(&subject.checked, &options) {
        Ok(plan) => plan,
        Err(why @ (RegapRefusal::AlreadyThere { .. } | RegapRefusal::AlreadyBest { .. })) => {
            return nothing_to_do(arguments, &subject, &why.to_string());
        }
        Err(refusal) => return Err(refused(&subject, refusal)),
    };
    let effect = Effect::of(&plan.before, &plan.after, &options.conditions)
        .map_err(|error| Failure::Call(format!("cannot solve this reed: {error}")))?;
    let mut json = print::to_json(&plan);
    json.extend(given.as_ref().map(|given| ("best".to_owned(), of_balance::best(given))));
    let report = Report {
        title: plan.title(),
        facts: given.as_ref().map(facts::given).into_iter().chain(facts::facts(&plan)).collect(),
        steps: &plan.steps(),
        after: Some((&plan.after, &plan.keys(), &effect)),
        notes: facts::notes(&plan),
        cautions: plan.cautions(),
        json,
    };
    arguments.bench.show(&subject, &report)
}

/// The gap that the set gives a reed.
fn given(job: &Job, id: &str) -> ReedBalance {
    let balance = balanced(job, &assessed(job), &BalanceOptions::default());
    balance.reed(id).expect("the reed is in the job").clone()
}

/// Why it is left where it is.
fn left(given: &ReedBalance) -> String {
    let gap = metres(given.now.gap_m);
    match given.verdict {
        Verdict::NoGap(why) => {
            format!("leave it at {gap}: no gap suits. {}. To do: {}", why.sentence(given), why.cure())
        }
        Verdict::Leave if !given.looked_for => {
            format!("leave it at {gap}: nothing is wrong that another gap could mend (--to-mm bends it all the same)")
        }
        Verdict::Leave | Verdict::Regap => {
            format!("leave it at {gap}: another gap would gain it and its set less than a bend is worth")
        }
    }
}

/// What the run of its neighbours has in its place (m).
fn usual_m(job: &Job, id: &str) -> Option<f64> {
    Neighbours::of(job).gap_m(job.reeds.iter().flatten().find(|reed| reed.id == id)?)
}

fn nothing_to_do(arguments: &Arguments, subject: &Subject, why: &str) -> Result<Outcome, Failure> {
    let report = Report {
        title: why.to_owned(),
        facts: Vec::new(),
        steps: &Steps::default(),
        after: None,
        notes: Vec::new(),
        cautions: Vec::new(),
        json: Map::from_iter([("nothing_to_do".to_owned(), json!(why))]),
    };
    arguments.bench.show(subject, &report)
}

fn refused(subject: &Subject, refusal: RegapRefusal) -> Failure {
    match &refusal {
        RegapRefusal::Sheet(error) => Failure::Sheet(error.clone()),
        RegapRefusal::Bend { instead: Some(Instead::Push(way)), .. } => {
            Failure::Call(format!("{}: {refusal} ({})", subject.name, facts::flags(&way.push)))
        }
        _ => Failure::Call(format!("{}: {refusal}", subject.name)),
    }
}

/// What is asked; `of_job_m` is the gap that the job has for the reed, where one is asked for and there is one.
fn options(arguments: &Arguments, subject: &Subject, of_job_m: Option<f64>) -> Result<RegapOptions, Failure> {
    let usual_pa = Conditions::default().pressure_pa;
    let (soft_pa, hard_pa) = (arguments.soft_pa.unwrap_or(usual_pa), arguments.hard_pa.unwrap_or(usual_pa));
    let mut conditions = subject.conditions;
    let wanted = match (arguments.to_mm, arguments.by_mm, of_job_m) {
        (Some(gap_m), ..) => WantedGap::Gap(gap_m),
        (_, Some(by_m), _) => WantedGap::Change(by_m),
        (.., Some(gap_m)) => WantedGap::Gap(gap_m),
        _ if arguments.best => {
            conditions.pressure_pa = (soft_pa * hard_pa).sqrt();
            WantedGap::Best { soft_pa, hard_pa }
        }
        _ => {
            return Err(Failure::Call(
                "--as-neighbours: fewer than five good reeds in the job have no run of gaps; give --to-mm".to_owned(),
            ));
        }
    };
    if let Some(ms) = arguments.allowed_ms {
        conditions.allowed_s = 1e-3 * ms;
    }
    let pushed = arguments.pushed_mm.zip(arguments.gap_now_mm).map(|(travel_m, gap_m)| Pushed { travel_m, gap_m });
    Ok(RegapOptions {
        wanted,
        place_m: arguments.at_mm,
        support: arguments.shim_mm,
        pushed,
        gap_tolerance_m: arguments.gap_within_mm,
        conditions,
    })
}
