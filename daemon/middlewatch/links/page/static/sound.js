// What an alert sounds like here. A browser sounds nothing before somebody has pressed something: until then it is said
// that the sound is off.

let context = null;

/** Turn the sound on; has to come from a press. */
export async function soundOn() {
  context = context || new AudioContext();
  await context.resume();
  play("note");
}

/** Turn it off. */
export const soundOff = () => context && context.suspend();

/** Whether an alert would be heard. */
export const isOn = () => context !== null && context.state === "running";

// When each tone begins and how long it lasts (s), its pitch (Hz) and how loud it is.
const PATTERNS = {
  note: [[0, 0.5, 440, 0.15]],
  warning: [[0, 0.25, 660, 0.4], [0.35, 0.25, 660, 0.4], [0.7, 0.25, 660, 0.4]],
  alarm: [0, 0.5, 1, 1.5, 2].flatMap((at) => [[at, 0.2, 880, 0.7], [at + 0.22, 0.2, 700, 0.7]]),
};

/** Sound a pattern of the daemon's `sound` report. */
export function play(pattern) {
  if (!isOn()) return;
  for (const [at, lasts, pitch, loud] of PATTERNS[pattern] || PATTERNS.warning) {
    const tone = context.createOscillator();
    const level = context.createGain();
    const begins = context.currentTime + at;
    tone.frequency.value = pitch;
    level.gain.setValueAtTime(0, begins);
    level.gain.linearRampToValueAtTime(loud, begins + 0.03);
    level.gain.linearRampToValueAtTime(0, begins + lasts);
    tone.connect(level).connect(context.destination);
    tone.start(begins);
    tone.stop(begins + lasts + 0.05);
  }
}
