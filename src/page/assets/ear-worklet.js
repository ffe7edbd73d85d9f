// Runs beside the sound: gathers samples of one channel and hands them on in pieces.
const PIECE_S = 0.04;

class Gather extends AudioWorkletProcessor {
  constructor() {
    super();
    this.piece = new Float32Array(Math.round((PIECE_S * sampleRate) / 128) * 128);
    this.filled = 0;
  }

  process([[samples]]) {
    if (samples) {
      this.piece.set(samples, this.filled);
      this.filled += samples.length;
      if (this.filled >= this.piece.length) {
        this.port.postMessage(this.piece.slice());
        this.filled = 0;
      }
    }
    return true;
  }
}

registerProcessor("gather", Gather);
