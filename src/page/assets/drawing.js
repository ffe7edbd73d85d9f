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

// Speaking time and level over pressure: solid as changed, dashed the reed as measured.
const [LEFT, RIGHT] = [96, 624];
const PLOTS = [
  { key: "t50_s", name: "speaks after", top: 30, bottom: 160, isRatio: true, ticks: [0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5], label: (s) => (s < 1 ? `${1000 * s} ms` : `${s} s`) },
  { key: "level_dba_at_1m", name: "level at 1 m", top: 206, bottom: 316, isRatio: false, ticks: Array.from({ length: 30 }, (_, k) => 5 * k), label: (db) => `${db} dB` },
];

export function response(node, { each, allowed }, pressures) {
  const at = each.map((it) => it.pressure_pa);
  const [low, high] = [at[0], at[at.length - 1]];
  const x = (pascal) => LEFT + ((RIGHT - LEFT) * Math.log(pascal / low)) / Math.log(high / low);
  const inside = TICKS.filter((pascal) => pascal >= low && pascal <= high);
  const band = pressures && svg("rect.band", { x: x(pressures[0]), y: PLOTS[0].top, width: x(pressures[2]) - x(pressures[0]), height: PLOTS[1].bottom - PLOTS[0].top });
  const tick = (pascal, k) => svg(`g.tick${k % 2 === 1 ? ".odd" : ""}`, {}, PLOTS.map(({ top, bottom }) => svg("line", { x1: x(pascal), x2: x(pascal), y1: top, y2: bottom })),
    svg("text", { x: x(pascal), y: PLOTS[1].bottom + 22, "text-anchor": "middle" }, pascal < 1000 ? String(pascal) : `${pascal / 1000}k`));
  fill(node, svg("svg.response", { viewBox: `0 0 ${WIDTH} 350`, role: "img", "aria-label": `Speaking time and level over pressure from ${Math.round(low)} to ${Math.round(high)} Pa, as measured and as changed` },
    band, inside.map(tick), PLOTS.map((plot) => curves(plot, each, x))),
  el("p.caption", {}, `Over pressure in Pa: solid as changed, dashed the reed as measured; no line where it does not speak. Shaded: from the player's soft to hard${allowed ? `, who allows ${allowed}` : ""}.`));
}

// One of the two plots.
function curves({ key, name, top, bottom, isRatio, ticks, label }, each, x) {
  const values = each.flatMap((it) => [it[key].before.value, it[key].after.value]).filter((value) => value !== null);
  if (values.length === 0) return svg("text", { x: LEFT, y: (top + bottom) / 2 }, `${name}: at none of these pressures`);
  const of = isRatio ? Math.log : (value) => value;
  const room = isRatio ? 0.2 : 2;
  const [low, high] = [of(Math.min(...values)) - room, of(Math.max(...values)) + room];
  const y = (value) => bottom - ((bottom - top) * (of(value) - low)) / (high - low);
  const inside = ticks.filter((value) => of(value) >= low && of(value) <= high);
  const tick = (value, k) => svg(`g.tick${k % 2 === 1 ? ".odd" : ""}`, {}, svg("line", { x1: LEFT, x2: RIGHT, y1: y(value), y2: y(value) }),
    svg("text", { x: LEFT - 8, y: y(value) + 5, "text-anchor": "end" }, label(value)));
  const line = (when, kind) => {
    const points = each.map((it) => [it.pressure_pa, it[key][when].value]);
    const runs = points.reduce((all, [pascal, value]) => (value === null ? [...all, []] : [...all.slice(0, -1), [...all[all.length - 1], `${x(pascal).toFixed(1)},${y(value).toFixed(1)}`]]), [[]]);
    return runs.filter((run) => run.length).map((run) => svg(`polyline.${kind}`, { points: run.length > 1 ? run.join(" ") : `${run[0]} ${run[0]}` }));
  };
  return svg("g", {}, svg("text", { x: LEFT, y: top - 10 }, name), inside.slice(0, 12).map(tick), line("before", "ghost"), line("after", "now"));
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
