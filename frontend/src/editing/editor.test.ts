import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { RefusedError, UnreachableError } from "../api/client";
import { asTyped, type Case, type Revision } from "../api/records";
import { followedBy, sampleRevision } from "../testing/sample";
import { draftsIn } from "./drafts";
import { type Editor, openEditor, PAUSE_MS, type Save } from "./editor";
import { withValue } from "./paths";

const FIRST = sampleRevision();

/** A server that keeps one case, and can be away, or be written to by someone else. */
class Server {
  revision: Revision = FIRST;
  away = false;
  failing = false;
  /** A case that makes it fail whenever it comes. */
  failsAt = "";
  failsAfterWriting = false;
  lostAnswers = 0;
  keys = new Map<string, Revision>();
  saves = 0;

  delay_ms = 0;

  save: Save = async (_, follows, dossier, key) => {
    if (this.delay_ms > 0) await new Promise((go) => setTimeout(go, this.delay_ms));
    if (this.away) throw new UnreachableError();
    if (this.failing) throw new RefusedError(500, { detail: "The disk is full." });
    if (dossier.case.patient.label === this.failsAt) throw new RefusedError(500, { detail: "x" });
    const before = this.keys.get(key);
    if (before) return before;
    this.check(follows, dossier.case);
    this.revision = {
      ...followedBy(this.revision, read(dossier.case)),
      dossier: { ...dossier, case: read(dossier.case) },
    };
    this.keys.set(key, this.revision);
    this.saves += 1;
    if (this.lostAnswers-- > 0) throw new UnreachableError();
    if (this.failsAfterWriting) throw new RefusedError(500, { detail: "It failed at the end." });
    return this.revision;
  };

  private check(follows: number, entered: Case): void {
    if (follows !== this.revision.number) throw new RefusedError(409, { detail: "newer" });
    const errors = entered.pits.flatMap((pit, i) =>
      String(pit.above_coccyx_tip_mm) === "1700"
        ? [
            {
              loc: ["body", "case", "pits", i, "above_coccyx_tip_mm"],
              detail: "A pit lies −60 to 120 mm above the tip.",
            },
          ]
        : [],
    );
    if (errors.length > 0) throw new RefusedError(422, { detail: "no", errors });
  }
}

/** Typed texts as the server's parser reads them. */
function read(entered: Case): Case {
  const pits = entered.pits.map((pit) => ({
    ...pit,
    above_coccyx_tip_mm: Number(String(pit.above_coccyx_tip_mm).replace(",", ".")),
  }));
  return { ...entered, pits };
}

let server: Server;
let count = 0;

beforeEach(() => {
  vi.useFakeTimers();
  server = new Server();
});

afterEach(() => vi.useRealTimers());

function open(window = "w", revision = server.revision, owner = ""): Editor {
  return openEditor({
    revision,
    save: server.save,
    newest: async () => server.revision,
    drafts: draftsIn(localStorage, window, owner),
    key: () => `key ${count++}`,
    now_ms: Date.now,
  });
}

const label = (words: string) => (entered: Case) => withValue(entered, ["patient", "label"], words);
const pit = (value: unknown) => (entered: Case) =>
  withValue(entered, ["pits", 0, "above_coccyx_tip_mm"], value);
const pause = () => vi.advanceTimersByTimeAsync(PAUSE_MS);

describe("saving", () => {
  it("waits for a pause in typing, then saves once", async () => {
    const editor = open();
    for (const words of ["C", "Ca", "Cas"]) editor.edit("label", label(words), "label");
    expect(editor.state().saving.kind).toBe("saving");
    await vi.advanceTimersByTimeAsync(PAUSE_MS - 1);
    expect(server.saves).toBe(0);
    await vi.advanceTimersByTimeAsync(1);
    expect(server.saves).toBe(1);
    expect(editor.state().saving.kind).toBe("saved");
    expect(server.revision.dossier.case.patient.label).toBe("Cas");
  });

  it("shows the number that the server read, once it is saved", async () => {
    const editor = open();
    editor.edit("pit", pit(asTyped("12,5")));
    expect(editor.state().entered.pits[0]?.above_coccyx_tip_mm).toBe("12,5");
    await pause();
    expect(editor.state().entered.pits[0]?.above_coccyx_tip_mm).toBe(12.5);
  });

  it("does not write over what was typed while it was saving", async () => {
    const editor = open();
    editor.edit("pit", pit(asTyped("12,5")));
    const saved = pause();
    editor.edit("pit", pit(asTyped("12,55")));
    await saved;
    await pause();
    expect(server.revision.dossier.case.pits[0]?.above_coccyx_tip_mm).toBe(12.55);
  });

  it("saves an undo like any other change", async () => {
    const editor = open();
    editor.edit("label", label("other"));
    await pause();
    editor.undo();
    await pause();
    expect(server.revision.dossier.case).toEqual(FIRST.dossier.case);
    expect(server.revision.number).toBe(5);
  });
});

describe("a refused entry", () => {
  it("keeps what was typed, says why, and saves the rest", async () => {
    const editor = open();
    editor.edit("pit", pit(asTyped("1700")));
    editor.edit("label", label("other"));
    await pause();
    const { entered, refusals, saving } = editor.state();
    expect(entered.pits[0]?.above_coccyx_tip_mm).toBe("1700");
    expect(refusals).toEqual([
      {
        path: ["pits", 0, "above_coccyx_tip_mm"],
        sentence: "A pit lies −60 to 120 mm above the tip.",
      },
    ]);
    expect(saving.kind).toBe("unsaved");
    expect(server.revision.dossier.case.patient.label).toBe("other");
  });

  it("that comes after its entry was corrected is not held against the correction", async () => {
    const editor = open();
    server.delay_ms = 2 * PAUSE_MS;
    editor.edit("pit", pit(asTyped("1700")));
    await pause();
    editor.edit("pit", pit(asTyped("17")));
    await vi.advanceTimersByTimeAsync(10 * PAUSE_MS);
    expect(editor.state().refusals).toEqual([]);
    expect(server.revision.dossier.case.pits[0]?.above_coccyx_tip_mm).toBe(17);
    expect(editor.state().saving.kind).toBe("saved");
  });

  it("is forgotten once it is corrected", async () => {
    const editor = open();
    editor.edit("pit", pit(asTyped("1700")));
    await pause();
    editor.edit("pit", pit(asTyped("17,5")));
    expect(editor.state().refusals).toEqual([]);
    await pause();
    expect(editor.state().saving.kind).toBe("saved");
  });

  it("keeps whoever waits for everything to be saved from going on", async () => {
    const editor = open();
    editor.edit("pit", pit(asTyped("1700")));
    await expect(editor.saved()).rejects.toThrow("A pit lies");
  });
});

describe("a server that is away", () => {
  it("gets everything when it is back", async () => {
    const editor = open();
    server.away = true;
    editor.edit("label", label("offline"));
    await pause();
    expect(editor.state().saving).toEqual({
      kind: "unsaved",
      since_ms: Date.parse(FIRST.saved_at),
      sentence: "",
    });
    server.away = false;
    await vi.advanceTimersByTimeAsync(2000);
    expect(server.revision.dossier.case.patient.label).toBe("offline");
    expect(editor.state().saving.kind).toBe("saved");
  });

  it("loses nothing that was typed meanwhile, down to the last letter, over a reload too", async () => {
    const editor = open("w");
    server.away = true;
    for (const word of ["a", "ab", "abc"]) {
      editor.edit("label", label(word), "label");
      await pause();
    }
    editor.edit("label", label("abcd"), "label");
    editor.close();
    const again = open("w", FIRST);
    expect(again.state().entered.patient.label).toBe("abcd");
    await vi.advanceTimersByTimeAsync(60_000);
    server.away = false;
    await vi.advanceTimersByTimeAsync(60_000);
    expect(server.revision.dossier.case.patient.label).toBe("abcd");
    expect([server.saves, localStorage.length]).toEqual([1, 0]);
  });

  it("or that fails says why, and gets everything once it does not", async () => {
    const editor = open();
    server.failing = true;
    editor.edit("label", label("kept"));
    await pause();
    expect(editor.state().saving).toMatchObject({ kind: "unsaved", sentence: "The disk is full." });
    server.failing = false;
    await vi.advanceTimersByTimeAsync(2000);
    expect(server.revision.dossier.case.patient.label).toBe("kept");
    expect(editor.state().saving.kind).toBe("saved");
  });

  it("at one entry gets the case once the entry is changed or undone", async () => {
    const editor = open();
    server.failsAt = "one";
    editor.edit("label", label("one"));
    await pause();
    editor.edit("label", label("two"));
    await vi.advanceTimersByTimeAsync(2000);
    expect(server.revision.dossier.case.patient.label).toBe("two");
    editor.edit("label", label("one"));
    await pause();
    editor.undo();
    await vi.advanceTimersByTimeAsync(2000);
    expect(editor.state().saving.kind).toBe("saved");
    await expect(editor.saved()).resolves.toBe(server.revision);
  });

  it("is not taken for another person when it failed after it had written", async () => {
    const editor = open();
    server.failsAfterWriting = true;
    editor.edit("pit", pit(asTyped("12,5")));
    await pause();
    expect(editor.state().saving.kind).toBe("unsaved");
    await vi.advanceTimersByTimeAsync(2000);
    expect(editor.state().saving.kind).toBe("saved");
    expect([editor.state().conflict, server.saves]).toEqual([null, 1]);
  });

  it("gets what is typed although the browser is full and keeps nothing", async () => {
    const full = vi.spyOn(Storage.prototype, "setItem").mockImplementation(() => {
      throw new DOMException("full", "QuotaExceededError");
    });
    const editor = open();
    editor.edit("label", label("typed"));
    await pause();
    full.mockRestore();
    expect(server.revision.dossier.case.patient.label).toBe("typed");
  });

  it("is not taken for another person when its answer was lost", async () => {
    const editor = open();
    server.lostAnswers = 1;
    editor.edit("label", label("one"));
    await pause();
    editor.edit("label", label("two"));
    await vi.advanceTimersByTimeAsync(5000);
    expect(editor.state().conflict).toBeNull();
    expect(server.revision.dossier.case.patient.label).toBe("two");
    expect(server.saves).toBe(2);
  });
});

describe("a reload", () => {
  it("finds what was not acknowledged and sends it", async () => {
    server.away = true;
    open("w").edit("label", label("kept"));
    server.away = false;
    const again = open("w", FIRST);
    expect(again.state().entered.patient.label).toBe("kept");
    await pause();
    expect(server.revision.dossier.case.patient.label).toBe("kept");
    expect(localStorage.length).toBe(0);
  });

  it("in another window finds it too", () => {
    open("w").edit("label", label("kept"));
    expect(open("v", FIRST).state().entered.patient.label).toBe("kept");
  });

  it("of another account takes up nothing that this one typed", () => {
    open("w", FIRST, "m.example").edit("label", label("mine"));
    expect(open("w", FIRST, "n.other").state().entered.patient.label).not.toBe("mine");
    expect(open("v", FIRST, "m.example").state().entered.patient.label).toBe("mine");
  });

  it("asks when the case was saved by someone else meanwhile", () => {
    open("w").edit("label", label("kept"));
    const other = followedBy(FIRST, label("theirs")(FIRST.dossier.case));
    const again = open("w", other);
    expect(again.state().conflict?.differing).toEqual([
      { path: ["patient", "label"], mine: "kept", theirs: "theirs" },
    ]);
  });
});

describe("two people", () => {
  async function conflict(theirs: (entered: Case) => Case): Promise<Editor> {
    const editor = open();
    editor.edit("label", label("mine"));
    server.revision = followedBy(FIRST, theirs(FIRST.dossier.case));
    await pause();
    return editor;
  }

  it("are never written over: both versions stay until one is chosen", async () => {
    const editor = await conflict(label("theirs"));
    await vi.advanceTimersByTimeAsync(60_000);
    expect(editor.state().conflict?.theirs.dossier.case.patient.label).toBe("theirs");
    expect(editor.state().entered.patient.label).toBe("mine");
    expect(server.revision.dossier.case.patient.label).toBe("theirs");
  });

  it("can have mine", async () => {
    const editor = await conflict(label("theirs"));
    editor.resolve("mine");
    await pause();
    expect(server.revision.dossier.case.patient.label).toBe("mine");
  });

  it("can have theirs, and Undo brings mine back", async () => {
    const editor = await conflict(label("theirs"));
    editor.resolve("theirs");
    expect(editor.state().entered.patient.label).toBe("theirs");
    editor.undo();
    expect(editor.state().entered.patient.label).toBe("mine");
  });

  it("can have both when they changed other places", async () => {
    const editor = await conflict(pit(40));
    expect(editor.state().conflict?.canKeepBoth).toBe(true);
    editor.resolve("both");
    await pause();
    expect(server.revision.dossier.case.patient.label).toBe("mine");
    expect(server.revision.dossier.case.pits[0]?.above_coccyx_tip_mm).toBe(40);
  });

  it("do not include the server itself, which adds plans and sheets", async () => {
    const editor = open();
    editor.edit("label", label("mine"));
    const bars = { code: "x" } as unknown as Revision["dossier"]["bars"];
    server.revision = { ...FIRST, number: 4, dossier: { ...FIRST.dossier, bars } };
    await vi.advanceTimersByTimeAsync(2 * PAUSE_MS);
    expect(editor.state().conflict).toBeNull();
    expect(server.revision.dossier.case.patient.label).toBe("mine");
    expect(server.revision.dossier.bars).toBe(bars);
  });

  it("do not include a job that ended while the answer to a save was on its way", async () => {
    const { save } = server;
    let answer = () => {};
    const onItsWay = new Promise<void>((resolve) => {
      answer = resolve;
    });
    server.save = async (...asked) => {
      const saved = await save(...asked);
      await onItsWay;
      return saved;
    };
    const editor = open();
    editor.edit("label", label("mine"));
    await pause();
    const { revision } = server;
    server.revision = { ...revision, number: revision.number + 1 };
    editor.adopt(server.revision);
    expect(editor.state().conflict).toBeNull();
    answer();
    await pause();
    expect(editor.state().revision.number).toBe(server.revision.number);
    expect(editor.state()).toMatchObject({ saving: { kind: "saved" }, undo: "label" });
  });
});
