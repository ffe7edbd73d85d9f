// Drawings of what was computed: the tongue in its slot, and pressures on a ruler. Numbers come from the program as they are.
import { el, fill, svg } from "./parts.js";

const WIDTH = 640;
// The tongue begins and ends here.
const [ROOT, TIP] = [70, 560];
// Heights are drawn so many times larger than lengths.
const TIMES = 8;

export function tongue(node, { before, after }) {
  const { stations_mm: stations, plate_mm: plate, tip_clearance_mm: clearance } = after;
  const scale = (TIP - ROOT) / stations[stations.length - 1][0];
  const heights = [...before.stations_mm, ...stations].map(([, rest, thick]) => rest + thick);
  const top = 26 + Math.max(...heights, 0.2) * scale * TIMES;
  const below = Math.max(0, ...[...before.stations_mm, ...stations].map(([, rest]) => -rest)) * scale * TIMES;
  const depth = Math.max(36, below + 14);
  const x = (s) => ROOT + s * scale;
  const y = (height) => top - height * scale * TIMES;
  const outline = (all) => {
    const under = all.map(([s, rest]) => `${x(s).toFixed(1)},${y(rest).toFixed(1)}`);
    const over = [...all].reverse().map(([s, rest, thick]) => `${x(s).toFixed(1)},${y(rest + thick).toFixed(1)}`);
    return [...under, ...over].join(" ");
  };
  const wall = TIP + Math.max(3, clearance * scale * TIMES);
  const gap = stations[stations.length - 1][1];
  const caption = `Cut along the middle. Heights are drawn ${TIMES} times larger than lengths; the plate is not to scale. Dashed: the reed as measured.`;
  fill(node, svg("svg.tongue", { viewBox: `0 0 ${WIDTH} ${(top + depth + 8).toFixed(0)}`, role: "img", "aria-label": `The tongue over its slot, tip gap ${gap.toFixed(3)} mm, plate ${plate} mm` },
    svg("rect.metal", { x: 8, y: top, width: ROOT - 8, height: depth }),
    svg("rect.metal", { x: wall, y: top, width: WIDTH - 8 - wall, height: depth }),
    svg("rect.slot", { x: ROOT, y: top, width: wall - ROOT, height: depth }),
    svg("polygon.ghost", { points: outline(before.stations_mm) }),
    svg("polygon.now", { points: outline(stations) }),
    svg("rect.clamp", { x: 18, y: y(stations[0][1] + stations[0][2]) - 12, width: ROOT - 22, height: 12 + stations[0][2] * scale * TIMES }),
  ), el("p.caption", {}, caption));
}

// Pressures on a ruler whose steps are ratios.
const ENDS = [20, 20000];
const TICKS = [20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000];
const place = (pascal) => 120 + (500 * Math.log(Math.min(Math.max(pascal, ENDS[0]), ENDS[1]) / ENDS[0])) / Math.log(ENDS[1] / ENDS[0]);

// One line of the ruler: from where it starts to where it chokes, and within that where it speaks in time.
function line(name, { onset, choke, low, high }, k, kind) {
  const y = 34 + 30 * k;
  const bar = (from, to, height, shape) =>
    from === null ? null : svg(`rect.${shape}`, { x: place(from), y: y - height / 2, width: Math.max(2, place(to ?? ENDS[1]) - place(from)), height });
  return svg(`g.${kind}`, {}, svg("text", { x: 112, y: y + 5, "text-anchor": "end" }, name), bar(onset, choke, 6, "thin"), bar(low, high, 16, "thick"));
}

export function ruler(node, lines, pressures) {
  const height = 34 + 30 * lines.length + 24;
  const band = pressures && svg("rect.band", { x: place(pressures[0]), y: 14, width: place(pressures[2]) - place(pressures[0]), height: height - 40 });
  const tick = (pascal, k) => svg(`g.tick${k % 3 === 1 ? ".odd" : ""}`, {}, svg("line", { x1: place(pascal), x2: place(pascal), y1: 14, y2: height - 24 }),
    svg("text", { x: place(pascal), y: height - 8, "text-anchor": "middle" }, pascal < 1000 ? String(pascal) : `${pascal / 1000}k`));
  const told = lines.map(({ name, low, high }) => `${name}: ${low === null ? "speaks in time at no pressure" : `in time from ${Math.round(low)} to ${Math.round(high)} Pa`}`).join("; ");
  fill(node, svg("svg.ruler", { viewBox: `0 0 ${WIDTH} ${height}`, role: "img", "aria-label": `Pressures. ${told}` },
    band, TICKS.map(tick), lines.map((it, k) => line(it.name, it, k, it.kind))),
  el("p.caption", {}, "Pressure in Pa. Thick: speaks in time; thin: sounds at all. Shaded: from the player's soft to hard."));
}
