/**
 * A stream of numbers in [0, 1), the same for the same seed and name on every machine: integer arithmetic
 * only (the sfc32 generator of the PractRand test suite, state from an FNV-1a hash). Streams of different
 * names are independent, so a change to one appliance leaves the others as they were.
 */
export function randomStream(seed: number, name: string): () => number {
  let a = seed | 0;
  let b = hashOf(name, 0x811c9dc5);
  let c = hashOf(name, 0x01000193 ^ seed);
  let counter = 1;
  const next = () => {
    const sum = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (((c << 21) | (c >>> 11)) + sum) | 0;
    return (sum >>> 0) / 4294967296;
  };
  for (let i = 0; i < 15; i++) next();
  return next;
}

function hashOf(text: string, start: number): number {
  let hash = start | 0;
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193);
  return hash;
}
