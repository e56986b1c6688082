/** Sending a folder of DICOM files one by one, and sorting what came of them by series. */

import { RefusedError, writeFile } from "../../../api/client";
import type { KeptFile } from "../../../api/records";

export type Kept = KeptFile & { name: string };
export type Skipped = { name: string; sentence: string };

/** How far it is, and what came of each file. */
export type Upload = { total: number; kept: readonly Kept[]; skipped: readonly Skipped[] };

/** The files of one series. */
export type Series = { uid: string; words: string; files: readonly Kept[] };

const REFUSED = [413, 422];

/** Send every file; one that is no MR image is skipped with the server's sentence. */
export async function sendAll(
  caseId: string,
  files: readonly File[],
  tell: (upload: Upload) => void,
  signal: AbortSignal,
): Promise<Upload> {
  let upload: Upload = { total: files.length, kept: [], skipped: [] };
  for (const file of inOrder(files)) {
    upload = await withOne(upload, caseId, file, signal);
    tell(upload);
  }
  return upload;
}

async function withOne(
  upload: Upload,
  caseId: string,
  file: File,
  signal: AbortSignal,
): Promise<Upload> {
  const name = nameOf(file);
  try {
    const kept = await writeFile<KeptFile>(`/api/cases/${caseId}/scan/files`, file, signal);
    return { ...upload, kept: [...upload.kept, { ...kept, name }] };
  } catch (fault) {
    if (!(fault instanceof RefusedError) || !REFUSED.includes(fault.status)) throw fault;
    return { ...upload, skipped: [...upload.skipped, { name, sentence: fault.message }] };
  }
}

/** The kept files by their series, the one with the most images first; each file once. */
export function seriesOf(kept: readonly Kept[]): Series[] {
  const found = new Map<string, Map<string, Kept>>();
  for (const file of kept) {
    const one = found.get(file.series_uid) ?? new Map<string, Kept>();
    found.set(file.series_uid, one.set(file.sha256, one.get(file.sha256) ?? file));
  }
  return [...found]
    .map(([uid, files]) => ({ uid, files: [...files.values()] }))
    .map(({ uid, files }) => ({ uid, files, words: files[0]?.series_words ?? "" }))
    .sort((a, b) => b.files.length - a.files.length);
}

/** The reader's sentence with the names that the files have on this computer. */
export function withNames(sentence: string, files: readonly Kept[]): string {
  return sentence.replace(/\b(\d{5})\.dcm\b/g, (kept, n) => files[Number(n)]?.name ?? kept);
}

function inOrder(files: readonly File[]): File[] {
  const order = new Intl.Collator("en", { numeric: true });
  return [...files].sort((a, b) => order.compare(nameOf(a), nameOf(b)));
}

function nameOf(file: File): string {
  return file.webkitRelativePath || file.name;
}
