// A microphone that plays a file: plucks and a blow whose pitch, ring-down and level are known in closed form.
import { writeFileSync } from "node:fs";

const RATE_HZ = 48000;
// E4 and A4 of equal temperament at the concert pitch of the demo's job, so many cents off.
const CONCERT_HZ = 442;
const hz = (midi, cents) => CONCERT_HZ * 2 ** ((midi - 69 + cents / 100) / 12);
export const PLUCK = { note: "E4", cents: -3.2, hz: hz(64, -3.2), tau_s: 0.3, at_s: [0.8, 2.2] };
export const BLOW = { note: "A4", cents: 7, hz: hz(69, 7), from_s: 4, to_s: 7.6 };
const LASTS_S = 8.4;
const HARMONICS = [0.06, 0.12, 0.09, 0.07, 0.05, 0.03];

// Writes it as a WAV file of 16 bits; a browser plays it over and over.
export function write(file) {
  const count = Math.round(LASTS_S * RATE_HZ);
  const bytes = Buffer.alloc(44 + 2 * count);
  bytes.write("RIFF", 0);
  bytes.writeUInt32LE(36 + 2 * count, 4);
  bytes.write("WAVEfmt ", 8);
  bytes.writeUInt32LE(16, 16);
  bytes.writeUInt16LE(1, 20);
  bytes.writeUInt16LE(1, 22);
  bytes.writeUInt32LE(RATE_HZ, 24);
  bytes.writeUInt32LE(2 * RATE_HZ, 28);
  bytes.writeUInt16LE(2, 32);
  bytes.writeUInt16LE(16, 34);
  bytes.write("data", 36);
  bytes.writeUInt32LE(2 * count, 40);
  let seed = 1;
  for (let k = 0; k < count; k += 1) {
    const t = k / RATE_HZ;
    // The quiet of a room: the generator of S. K. Park and K. W. Miller, Comm. ACM 31, 1988.
    seed = (seed * 48271) % 2147483647;
    let sample = 2e-4 * (seed / 2147483647 - 0.5);
    for (const at_s of PLUCK.at_s) {
      if (t >= at_s) sample += 0.3 * Math.min(1, (t - at_s) / 1e-3) * Math.exp((at_s - t) / PLUCK.tau_s) * Math.sin(2 * Math.PI * PLUCK.hz * (t - at_s));
    }
    if (t >= BLOW.from_s && t < BLOW.to_s) {
      const envelope = Math.min(1, (t - BLOW.from_s) / 0.03, (BLOW.to_s - t) / 0.03);
      HARMONICS.forEach((size, h) => { sample += envelope * size * Math.sin(2 * Math.PI * (h + 1) * BLOW.hz * t); });
    }
    bytes.writeInt16LE(Math.round(32767 * Math.max(-1, Math.min(1, sample))), 44 + 2 * k);
  }
  writeFileSync(file, bytes);
}
