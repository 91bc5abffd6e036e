// What this tablet keeps, in IndexedDB: the outbox in its order, and a few facts by name (kit, who, clock).

const NAME = "bathbook";

function open() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("outbox", { keyPath: "place", autoIncrement: true }).createIndex("id", "id", { unique: true });
      request.result.createObjectStore("facts");
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

let opened;
async function within(store, mode, work) {
  opened ??= open();
  const base = await opened.catch((error) => {
    opened = undefined;
    throw error;
  });
  return new Promise((resolve, reject) => {
    // Strict: when it says that it is kept, it outlives a dead battery.
    const turn = base.transaction(store, mode, { durability: mode === "readwrite" ? "strict" : "default" });
    const asked = work(turn.objectStore(store));
    turn.oncomplete = () => resolve(asked?.result);
    turn.onabort = turn.onerror = () => reject(turn.error ?? asked?.error);
  });
}

/** Keep an entry. The same id is kept once: the first that was said stays. */
export async function keep(entry) {
  try {
    await within("outbox", "readwrite", (store) => store.add(entry));
  } catch (error) {
    if (error?.name !== "ConstraintError") throw error;
  }
}

/** All entries that wait, in the order in which they were made. */
export const waiting = () => within("outbox", "readonly", (store) => store.getAll());

/** Let an entry go: the server has it. */
export async function letGo(id) {
  await within("outbox", "readwrite", (store) => {
    store.index("id").getKey(id).onsuccess = ({ target }) => target.result !== undefined && store.delete(target.result);
  });
}

/** Change what is known of an entry that waits, never what was said in it. */
export async function mark(id, more) {
  await within("outbox", "readwrite", (store) => {
    store.index("id").get(id).onsuccess = ({ target }) => target.result && store.put({ ...target.result, ...more });
  });
}

export const fact = (name) => within("facts", "readonly", (store) => store.get(name));
export const setFact = (name, value) => within("facts", "readwrite", (store) => store.put(value, name));
export const dropFact = (name) => within("facts", "readwrite", (store) => store.delete(name));

/** A version 7 UUID (RFC 9562, section 5.7), so that entries sort by when they were made. */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  const time = BigInt(Date.now());
  for (let place = 0; place < 6; place++) bytes[place] = Number((time >> BigInt(40 - 8 * place)) & 255n);
  bytes[6] = 0x70 | (bytes[6] & 15);
  bytes[8] = 0x80 | (bytes[8] & 63);
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/(.{8})(.{4})(.{4})(.{4})(.{12})/, "$1-$2-$3-$4-$5");
}
