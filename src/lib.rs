//! freereed computes what a free reed will do from what a reed worker can measure.
//!
//! A free reed is a thin metal tongue over a slot a little larger than itself. Air pressed through the slot moves the
//! tongue; the tongue moves the air. With `q_i` the tip motion of bending mode `i`, `p_0` the pressure at the reed, `U` the flow
//! past it, and `U_k` the flow through section `k` of the air behind it, which feeds on the section outside it:
//!
//! ```text
//! m_i (q_i'' + 2 zeta w_i q_i' + w_i^2 q_i) = -beta p_0 S_i - drag      the tongue
//! M_k U_k' = p_(k+1) - p_k - loss                                       the air: slot, channel, lungs
//! C_0 p_0' = U_0 - U(q, p_0) + sum of S_i q_i'                          the slot's own air
//! C_k p_k' = U_k - U_(k-1) - U_leak(p_k)                                chamber, mouth
//! ```
//!
//! | symbol | meaning | where |
//! |---|---|---|
//! | `m_i`, `w_i`, `S_i` | modal mass, angular frequency, swept area, for unit tip motion | [`physics::beam`] |
//! | `U`, `beta` | flow through the opening; share of the pressure that acts across the reed | [`physics::aperture`] |
//! | `C_k`, `M_k` | compliance and inertance of slot, chamber with its channel, player | [`physics::ladder`] |
//!
//! | question | module |
//! |---|---|
//! | What is this air? | [`physics::air`] |
//! | At what pitch does the tongue swing, how stiff is it? | [`physics::beam`] |
//! | From which pressure does it speak, and where does it choke? | [`physics::onset`] |
//! | Does it speak when blown so, how soon, and to what does it settle? | [`physics::attack`] |
//! | At which pressures does it speak within the time a player allows? | [`physics::playable`] |
//! | What sounds at a pressure without waiting for it, and how far does a sounding reed sound on? | [`physics::steady`] |
//! | How loud is it, how does it sound? | [`physics::sound`] |
//! | What may a file say, and what is assumed where it says nothing? | [`sheet`] |
//! | Which tip gap suits a player, and how to bend the tongue to it? | [`workshop::regap`], [`workshop::bend`] |
//! | All of that for one reed | [`predict`] |
//! | Any of these by name; before and after a change; how sure a difference is | [`answer`] |
//! | Over a grid of inputs, over gaps, clearances and pressures | [`sweep`], [`study`] |
//! | What would the hands have to do? | [`workshop`] |
//! | All of that for a set and its player | [`instrument`] |
//! | Which tip gap should each reed of a set have? | [`instrument::balance`] |
//! | What is to be done next, reed by reed? | [`instrument::work`] |
//! | What did a microphone hear: which reed, at what pitch, how soon, how long? | [`mod@listen`] |
//! | What becomes of each note of a piece of music on a set? | [`rehearse`] |
//! | What is to be tested before a set is signed off? | [`protocol`] |
//! | As JSON, CSV, charts | [`mod@print`], `chart` |
//! | All of it on a screen, with readings typed in | `page` |
//! | Is it right? | [`cases`] |
//!
//! ```
//! use freereed::predict::{Prediction, Question};
//! use freereed::sheet::ReedFile;
//!
//! let reed = "[reed]\nlength_mm = 12.5\nwidth_mm = 2.1\nthickness_mm = 0.14\ntip_gap_mm = 0.25\n\
//!             [chamber]\nvolume_mm3 = 500\nchannel_length_mm = 20\nchannel_area_mm2 = 20\n";
//! let checked = ReedFile::parse("reed.toml", reed).unwrap();
//! let prediction = Prediction::of(&checked, &Question::default()).unwrap();
//! let onset = prediction.speaking.onset.unwrap();
//! assert!((45.0..55.0).contains(&onset.pressure_pa));
//! ```

pub mod answer;
pub mod cases;
#[cfg(feature = "chart")]
pub mod chart;
pub mod files;
pub mod instrument;
pub mod listen;
#[cfg(feature = "page")]
pub mod page;
pub mod physics;
pub mod predict;
pub mod print;
pub mod protocol;
pub mod rehearse;
pub mod sheet;
pub mod study;
pub mod sweep;
pub mod trend;
pub mod units;
pub mod workshop;

/// The examples of the README are compiled and run.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
pub struct Readme;
