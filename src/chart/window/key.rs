//! What the signs of the chart of playable windows mean.

use super::draw::Drawing;
use super::{Bar, Shown};
use crate::chart::marks::{Area, Marks, Point, at, pen};
use crate::chart::page::{KeyItem, Page};
use crate::chart::palette;
use crate::chart::reed::{absent, arrowhead};

/// Sets the key: only signs that the chart shows.
pub(super) fn set(page: &mut Page, drawing: &Drawing<'_>) {
    let has_bars = drawing.bars().next().is_some();
    let has_faulty_bar = drawing
        .faults()
        .iter()
        .any(|(index, _)| matches!(drawing.shown[*index], Shown::Bar(Bar { speaks: Some(_), .. })));
    type Entry<'a> = (bool, &'a dyn Fn(&mut Marks, Point), &'static str);
    let entries: [Entry<'_>; 6] = [
        (has_bars, &|marks, point| block(marks, point, false), "speaks in time"),
        (has_faulty_bar, &|marks, point| block(marks, point, true), "speaks in time, but not from soft to hard"),
        (has_bars, &thin, "sounds, but too slowly (ends at onset and choke)"),
        (drawing.bars().any(Bar::is_open), &open, "open upper end: no choke found"),
        (!drawing.reeds.is_empty(), &band, "the player, soft to hard"),
        (drawing.unknown() > 0, &absent, "not known"),
    ];
    let items: Vec<KeyItem<'_>> = entries
        .iter()
        .filter(|(is_shown, ..)| *is_shown)
        .map(|(_, sign, meaning)| KeyItem { sign, meaning: (*meaning).to_owned() })
        .collect();
    page.key(&items);
}

fn block(marks: &mut Marks, point: Point, is_faulty: bool) {
    let corners = [(-6.0, 7.0), (-6.0, -7.0), (6.0, -7.0), (6.0, 7.0)].map(|(x, y)| at(point.x + x, point.y + y));
    if is_faulty {
        marks.polygon(&corners, palette::VERMILION, pen(palette::INK, 1.2));
    } else {
        marks.patch(&corners, palette::SKY);
    }
}

fn thin(marks: &mut Marks, point: Point) {
    marks.fill(
        Area { left: point.x - 2.4, top: point.y - 7.0, right: point.x + 2.4, bottom: point.y + 7.0 },
        palette::PALE_SKY,
    );
    for y in [point.y - 7.0, point.y + 7.0] {
        marks.line(at(point.x - 6.0, y), at(point.x + 6.0, y), pen(palette::SKY, 1.4));
    }
}

fn open(marks: &mut Marks, point: Point) {
    arrowhead(marks, at(point.x, point.y - 6.0), 6.5, palette::SKY);
}

fn band(marks: &mut Marks, point: Point) {
    let area = Area { left: point.x - 10.0, top: point.y - 7.0, right: point.x + 10.0, bottom: point.y + 7.0 };
    marks.fill(area, palette::WANTED);
    for (y, pen) in [
        (area.top, pen(palette::INK, 1.1).dashed("6 3")),
        (point.y, pen(palette::INK, 1.3)),
        (area.bottom, pen(palette::INK, 1.1).dashed("2 3")),
    ] {
        marks.line(at(area.left, y), at(area.right, y), pen);
    }
}
