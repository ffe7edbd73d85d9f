//! Reeds solved in the background, the newest change first; while somebody moves a slider it keeps still.

use std::sync::Arc;
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use super::bench::Bench;
use super::opened::OpenJob;
use crate::instrument::{Depth, ReedAssessment, assess_reed, assess_solved};
use crate::sheet::{Job, JobReed, RowError};

/// A set is judged anew no more often than this while it is being solved.
const JUDGED_EVERY: Duration = Duration::from_millis(1500);
/// How long to keep still at a time.
const STILL: Duration = Duration::from_millis(50);

enum Task {
    Solve(Box<JobReed>, Depth),
    Judge(Vec<Result<ReedAssessment, RowError>>),
}

/// Starts the thread that solves; it ends when the bench closes.
pub(super) fn start(bench: Arc<Bench>) -> JoinHandle<()> {
    std::thread::spawn(move || {
        let mut judged = None;
        while !bench.is_closing() {
            if bench.gate.hands_on() {
                std::thread::sleep(STILL);
                continue;
            }
            let next = bench.look_or_wait(|opened| {
                let open = opened.job()?;
                Some((next(open, judged)?, open.job.clone()))
            });
            if let Some((task, job)) = next {
                if matches!(task, Task::Judge(_)) {
                    judged = Some(Instant::now());
                }
                done(&bench, task, &job);
            }
        }
    })
}

/// What is to be done next: every reed quickly, then the set, then how sure each of them is.
fn next(open: &OpenJob, judged: Option<Instant>) -> Option<Task> {
    let to_solve = open.to_solve();
    let all_quick = !matches!(to_solve, Some((_, Depth::Quick)));
    let is_due = to_solve.is_none() || judged.is_none_or(|at| at.elapsed() > JUDGED_EVERY);
    if open.is_unjudged() && all_quick && (is_due || open.set.is_none()) {
        return open.all_solved().map(Task::Judge);
    }
    to_solve.map(|(reed, depth)| Task::Solve(Box::new(reed), depth))
}

fn done(bench: &Bench, task: Task, job: &Arc<Job>) {
    match task {
        Task::Solve(reed, depth) => {
            let assessed = bench.background.install(|| assess_reed(job, &reed, depth));
            bench.change(|opened| {
                if let Some(open) = opened.job_mut() {
                    open.keep(assessed, depth, job);
                }
            });
        }
        Task::Judge(rows) => {
            let set = bench.background.install(|| assess_solved(job, rows));
            bench.change(|opened| {
                if let Some(open) = opened.job_mut() {
                    open.keep_set(set, job);
                }
            });
        }
    }
}
