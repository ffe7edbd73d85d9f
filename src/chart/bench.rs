//! One reed over its slot as it lies on the bench: from the side, and cut across at the tip.

mod cross_cut;
mod scales;
mod side;

use super::LARGEST;
use super::Picture;
use super::frame::length;
use super::page::Page;
use super::tone::Tone;
use scales::Scales;

/// One place of the tongue.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TongueStation {
    /// Place from the edge of the clamp (m).
    pub place_m: f64,
    /// Height of the underside above the plate at rest (m); below zero it is in the slot.
    pub underside_m: f64,
    /// Thickness (m).
    pub thickness_m: f64,
}

/// A clearance beside the tongue.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideClearance {
    /// At the tip (m).
    pub at_tip_m: f64,
    /// The least and the largest along the reed (m).
    pub range_m: (f64, f64),
}

/// The tongue at rest over its plate and slot, with its sizes. What is drawn larger than the length says so.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchView {
    /// The reed, as the reader knows it.
    pub reed_name: String,
    /// Its plucked pitch.
    pub tone: Tone,
    /// The tongue from the clamp (place 0) to the tip, close enough together to be joined by straight lines.
    pub tongue: Vec<TongueStation>,
    /// Width of the tongue at the tip (m).
    pub tip_width_m: f64,
    /// Weight on the tip (kg); zero for none.
    pub tip_mass_kg: f64,
    /// Beside the left edge, seen from above with the clamp below.
    pub left: SideClearance,
    /// Beside the right edge.
    pub right: SideClearance,
    /// From the tip to the end wall of the slot (m).
    pub tip_clearance_m: f64,
    /// Thickness of the plate (m).
    pub plate_m: f64,
    /// Assumptions and model version, set small below the picture.
    pub small_print: String,
}

impl BenchView {
    /// The picture, to be written or drawn.
    pub fn picture(&self) -> Picture {
        let name = format!("{} · plucked {}", self.reed_name, self.tone.in_words());
        let Some(scales) = Scales::of(self) else {
            let mut page = Page::open("The sizes of this reed are not known", &name);
            let plot = page.take(200.0);
            page.empty(plot, "There is nothing to draw.");
            return page.close(&self.small_print, "An empty picture: the sizes of the reed are not known.");
        };
        let title = self.title();
        let mut page = Page::open(&title, &name);
        let room = page.take(side::height(self, &scales));
        side::draw(&mut page.marks, room.top, self, &scales);
        let room = page.take(cross_cut::height(self, &scales));
        cross_cut::draw(&mut page.marks, room.top, self, &scales);
        let plate = length(self.plate_m);
        let description = format!("{title}. The tongue from the side and cut across at the tip; plate {plate}.");
        page.close(&self.small_print, &description)
    }

    fn tip(&self) -> TongueStation {
        *self.tongue.last().expect("checked by Scales")
    }

    fn title(&self) -> String {
        let (tongue, gap_m) = (length(self.tip().place_m), self.tip().underside_m);
        match gap_m {
            gap if gap < 0.0 => format!("A tongue of {tongue}, its tip {} deep in the slot", length(-gap)),
            gap => format!("A tongue of {tongue}, its tip {} above the plate", length(gap)),
        }
    }

    /// Whether there is a tongue and every size of it can be drawn.
    fn is_whole(&self) -> bool {
        let size = |value: f64| (1e-9..=LARGEST).contains(&value);
        let place = |station: &TongueStation| {
            station.underside_m.abs() <= LARGEST && (0.0..=LARGEST).contains(&station.thickness_m)
        };
        let in_order = self.tongue.windows(2).all(|pair| pair[0].place_m <= pair[1].place_m);
        let ends = self.tongue.first().zip(self.tongue.last());
        ends.is_some_and(|(first, last)| first.place_m == 0.0 && size(last.place_m))
            && in_order
            && self.tongue.iter().all(place)
            && self.tongue.iter().any(|station| size(station.thickness_m))
            && [self.tip_width_m, self.left.at_tip_m, self.right.at_tip_m, self.tip_clearance_m, self.plate_m]
                .into_iter()
                .all(size)
    }
}
