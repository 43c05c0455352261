// What was recorded and has not arrived yet, in this browser's own store. It outlives a reload, and goes when it arrived.
// Kept are ids, findings and typed lines; never a name.
const STORE = "entries";

const store = () => new Promise((done, failed) => {
  const asked = indexedDB.open("endfeel-waiting", 1);
  asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "n", autoIncrement: true });
  asked.onsuccess = () => done(asked.result);
  asked.onerror = () => failed(asked.error);
});
let opened = null;

async function act(mode, what) {
  opened ??= store();
  const held = (await opened).transaction(STORE, mode);
  const asked = what(held.objectStore(STORE));
  return new Promise((done, failed) => {
    held.oncomplete = () => done(asked?.result);
    held.onabort = () => failed(held.error);
  });
}

export const add = (entry) => act("readwrite", (entries) => entries.add(entry));
export const all = () => act("readonly", (entries) => entries.getAll());
export const change = (entry) => act("readwrite", (entries) => entries.put(entry));
export const remove = (numbers) => act("readwrite", (entries) => { for (const one of numbers) entries.delete(one); });

// An id made here, so that an entry sent twice is kept once. Pages of a plain network have no randomUUID.
export function newId() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 15) | 64;
  bytes[8] = (bytes[8] & 63) | 128;
  const hex = [...bytes].map((one) => one.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
