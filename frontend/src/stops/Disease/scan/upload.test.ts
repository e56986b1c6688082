import { afterEach, expect, it, vi } from "vitest";
import { type Kept, sendAll, seriesOf, withNames } from "./upload";

afterEach(() => vi.unstubAllGlobals());

/** A server that keeps DICOM, refuses all else, and notes in which order files came. */
function server() {
  const came: string[] = [];
  vi.stubGlobal("fetch", async (_: string, request: RequestInit) => {
    if (request.signal?.aborted) throw new DOMException("stopped", "AbortError");
    const text = await (request.body as File).text();
    came.push(text);
    const body = text.startsWith("dicom")
      ? { sha256: text, series_uid: text.slice(-1), series_words: "axial" }
      : { detail: "This is no DICOM file." };
    return new Response(JSON.stringify(body), { status: text.startsWith("dicom") ? 200 : 422 });
  });
  return came;
}

const file = (name: string, content: string) => new File([content], name);

it("sends in the order of the names and skips what is no image with the server's sentence", async () => {
  const came = server();
  const files = [file("10", "dicom c A"), file("9", "dicom b A"), file("notes.txt", "words")];
  const told: number[] = [];
  const upload = await sendAll(
    "1",
    files,
    (now) => told.push(now.kept.length + now.skipped.length),
    new AbortController().signal,
  );
  expect(came).toEqual(["dicom b A", "dicom c A", "words"]);
  expect(told).toEqual([1, 2, 3]);
  expect(upload.skipped).toEqual([{ name: "notes.txt", sentence: "This is no DICOM file." }]);
});

it("stops when it is told to", async () => {
  server();
  const stop = new AbortController();
  const sent = sendAll(
    "1",
    [file("1", "dicom A"), file("2", "dicom A")],
    () => stop.abort(),
    stop.signal,
  );
  await expect(sent).rejects.toThrow("stopped");
});

it("sorts files by series, the largest first, the same file once", () => {
  const kept = ["a1", "b2", "c2", "c2"].map((sha256) => ({
    sha256,
    series_uid: sha256.slice(-1),
    series_words: "",
    name: sha256,
  })) as Kept[];
  expect(seriesOf(kept).map(({ uid, files }) => [uid, files.length])).toEqual([
    ["2", 2],
    ["1", 1],
  ]);
});

it("says the reader's sentence with the names that the files have here", () => {
  const files = [{ name: "mri/IM0001" }, { name: "mri/IM0002" }] as Kept[];
  expect(withNames("One slice is missing after 00001.dcm. See 00009.dcm.", files)).toBe(
    "One slice is missing after mri/IM0002. See 00009.dcm.",
  );
});
