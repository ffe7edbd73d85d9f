//! The page itself: its frame, its script and its look, which are in the program.

use axum::response::Html;
use maud::{DOCTYPE, html};

use crate::physics::coefficients::MODEL_VERSION;
use crate::workshop::DEFERS;

const SCRIPT: &str = "text/javascript; charset=utf-8";

/// What the frame loads: name, kind, text.
pub(super) const ASSETS: [(&str, &str, &str); 12] = [
    ("page.css", "text/css; charset=utf-8", include_str!("assets/page.css")),
    ("icon.svg", "image/svg+xml", include_str!("assets/icon.svg")),
    ("main.js", SCRIPT, include_str!("assets/main.js")),
    ("parts.js", SCRIPT, include_str!("assets/parts.js")),
    ("plates.js", SCRIPT, include_str!("assets/plates.js")),
    ("entry.js", SCRIPT, include_str!("assets/entry.js")),
    ("ear.js", SCRIPT, include_str!("assets/ear.js")),
    ("ear-worklet.js", SCRIPT, include_str!("assets/ear-worklet.js")),
    ("whatif.js", SCRIPT, include_str!("assets/whatif.js")),
    ("drawing.js", SCRIPT, include_str!("assets/drawing.js")),
    ("music.js", SCRIPT, include_str!("assets/music.js")),
    ("set.js", SCRIPT, include_str!("assets/set.js")),
];

/// The frame, which the script fills.
pub(super) async fn document() -> Html<String> {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { "Bench page" }
                link rel="icon" href="icon.svg" type="image/svg+xml";
                link rel="stylesheet" href="page.css";
                script type="module" src="main.js" {}
            }
            body {
                a.skip href="#main" { "To the reed" }
                header {
                    h1 #name { "Bench page" }
                    p #standing role="status" aria-live="polite" {}
                    nav aria-label="Views" #views {}
                    button #undo type="button" disabled { "Undo" }
                }
                p #trouble role="alert" hidden {}
                main #main tabindex="-1" {
                    noscript { "The page needs its script, which comes from this program and from nowhere else." }
                }
                p #help aria-hidden="true" hidden {}
                footer {
                    p {
                        "Computed by freereed " (env!("CARGO_PKG_VERSION")) ", model " (MODEL_VERSION)
                        ". Sure: pitch, and the order of reeds and of changes. Fair: from where and how soon a reed speaks. Weak: levels."
                    }
                    p {
                        "Edges are sharp, dust of brass and of beryllium copper harms, small parts do not belong in the mouth. " (DEFERS)
                    }
                }
            }
        }
    };
    Html(page.into_string())
}
