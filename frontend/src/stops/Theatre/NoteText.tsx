import { useQuery } from "@tanstack/react-query";
import { readBytes } from "../../api/client";
import { refusalOf } from "../../api/queries";
import { useSay } from "../../i18n/say";
import { Told } from "../../shell/Told";
import { Sheets } from "../Marking/Sheets";
import type { InTheatre } from "./operation";

/** The operation note as the server writes it from what is saved, to read and to print. */
export function NoteText({ revision, saving }: InTheatre) {
  const t = useSay("theatre");
  const path = `/api/cases/${revision.case_id}/sheets/operation-note.txt`;
  const { data, error } = useQuery({
    enabled: revision.dossier.case.operation !== null,
    queryKey: ["of case", revision.case_id, "operation note"],
    queryFn: async ({ signal }) => new TextDecoder().decode(await readBytes(path, signal)),
    placeholderData: (before) => before,
  });
  return (
    <section className="note operation-note">
      <h2>{t("note.title")}</h2>
      {error ? (
        <p role="alert">
          <Told>{refusalOf(error) ?? error.message}</Told>
        </p>
      ) : null}
      {data ? (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: a text that scrolls is reached by keys
        <pre className={saving.kind === "saved" ? "" : "redone"} tabIndex={0}>
          <Told>{data}</Told>
        </pre>
      ) : null}
      <Sheets caseId={revision.case_id} names={["operation-note.pdf"]} paper="A4" />
    </section>
  );
}
