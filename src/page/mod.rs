//! The bench page: a job on the screen, served to a browser on this machine alone.
//!
//! Every number comes from the same library calls as the command line, every word from the same sentences. What is entered is
//! written at once into a round of the day beside the job; a file that the page did not write is never changed.
//!
//! | file | holds |
//! |---|---|
//! | `address`, `guard`, `gate` | where it is served, who may ask, how much at once |
//! | `opened`, `bench`, `solver`, `background` | what is open, shared by all requests; what is solved in the background |
//! | `cells`, `table`, `journal`, `enter` | readings: what stands where, the round of the day, undo |
//! | `overview`, `reed`, `shares` | the plates, one reed, what its doubt comes from |
//! | `knobs`, `attempt`, `tongue`, `sounds`, `plan` | what if: sliders, results, the drawing, sound, the plan |
//! | `rehearsal` | a piece of music on the set |
//! | `ear`, `heard` | the browser's microphone: pieces of sound in, what is heard out |
//! | `set`, `papers`, `start` | the whole set, what is printed, a new job |
//! | `routes`, `answers`, `shell` | addresses, answers, the page itself |

mod address;
mod answers;
mod attempt;
mod background;
mod bench;
mod cells;
mod ear;
mod enter;
mod gate;
mod guard;
mod heard;
mod journal;
mod knobs;
mod opened;
mod overview;
mod papers;
mod plan;
mod reed;
mod rehearsal;
mod routes;
mod set;
mod set_routes;
mod shares;
mod shell;
mod solver;
mod sounds;
mod start;
mod table;
mod tongue;

use std::io;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use address::Address;
use bench::Bench;
pub use opened::{Opened, WhatIsOpen};

use crate::sheet::Date;

/// What is served, and how.
#[derive(Debug)]
pub struct Serving {
    /// What is open.
    pub opened: Opened,
    /// The port that is wanted; another is taken where it is busy. Without it the one of the last time.
    pub port: Option<u16>,
    /// The day where the user is.
    pub today: fn() -> Date,
    /// Where the address is kept, so that a page left open finds the program again; nowhere where there is no such place.
    pub remember_in: Option<PathBuf>,
}

/// So long an answer under way is waited for at the end.
const LAST_WAIT: Duration = Duration::from_secs(2);
/// Threads for what is computed for a request.
const WORKERS: usize = 6;

/// Serves the page until the program is interrupted; `ready` is told the address to open, and the file that leads there where
/// one was written.
///
/// # Errors
/// No port can be had.
pub fn serve(serving: Serving, ready: impl FnOnce(&str)) -> io::Result<()> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .max_blocking_threads(WORKERS)
        .enable_all()
        .build()?;
    let served = runtime.block_on(serve_here(serving, ready));
    runtime.shutdown_timeout(LAST_WAIT);
    served
}

async fn serve_here(serving: Serving, ready: impl FnOnce(&str)) -> io::Result<()> {
    let Serving { opened, port, today, remember_in } = serving;
    let kept = remember_in.as_deref().and_then(|folder| Address::kept(folder, &opened.name()));
    let wanted = port.or(kept.as_ref().map(|kept| kept.port)).unwrap_or(0);
    let listener = listen(wanted).await?;
    let secret = kept.map_or_else(address::new_secret, |kept| Ok(kept.secret))?;
    let address = Address { port: listener.local_addr()?.port(), secret };
    let bench = Arc::new(Bench::new(opened, today, remember_in.map(|folder| (folder, address.clone()))));
    bench.keep_address();
    let solver = solver::start(bench.clone());
    let watching = tokio::spawn(bench::watch_folder(bench.clone()));
    ready(&address.url());
    let serving =
        axum::serve(listener, routes::router(bench.clone(), &address)).with_graceful_shutdown(end(bench.clone()));
    let mut closing = bench.closing();
    tokio::select! {
        served = serving.into_future() => served?,
        // Connections that a browser keeps open do not hold the program up.
        () = async { let _ = closing.wait_for(|closing| *closing).await; tokio::time::sleep(LAST_WAIT).await; } => {}
    }
    watching.abort();
    let _ = solver.join();
    Ok(())
}

/// A busy port is no error: another is taken.
async fn listen(wanted: u16) -> io::Result<tokio::net::TcpListener> {
    let at = |port| tokio::net::TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, port)));
    match at(wanted).await {
        Ok(listener) => Ok(listener),
        Err(_) => at(0).await,
    }
}

/// When the program is told to end.
async fn end(bench: Arc<Bench>) {
    #[cfg(unix)]
    {
        let told = tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate());
        let Ok(mut told) = told else { return interrupted(bench).await };
        tokio::select! { _ = tokio::signal::ctrl_c() => {}, _ = told.recv() => {} }
        bench.close();
    }
    #[cfg(not(unix))]
    interrupted(bench).await;
}

async fn interrupted(bench: Arc<Bench>) {
    let _ = tokio::signal::ctrl_c().await;
    bench.close();
}
