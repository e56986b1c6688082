import { useState } from "react";
import type { Revision } from "../../api/records";
import { useSay } from "../../i18n/say";
import { asPrinted } from "./Sheets";

type SheetPreviewProps = { revision: Revision; plan: string; paper: string; pages: number };

/** The template page by page, drawn by the server as it will be printed. */
export function SheetPreview({ revision, plan, paper, pages }: SheetPreviewProps) {
  const t = useSay("marking");
  const [asked, setAsked] = useState(1);
  const page = Math.min(asked, pages);
  const { case_id, number } = revision;
  // The revision makes the picture another one once the case is another one.
  const source = `/api/cases/${case_id}/template-pages/${page}?${asPrinted(paper)}&of=${number}`;
  return (
    <figure className="sheet-preview">
      <img src={source} alt={t("page_alt", { plan, page, pages })} />
      <figcaption>
        <button
          type="button"
          className="quiet"
          disabled={page === 1}
          onClick={() => setAsked(page - 1)}
        >
          {t("page_before")}
        </button>
        <span aria-live="polite">{t("page", { page, pages })}</span>
        <button
          type="button"
          className="quiet"
          disabled={page === pages}
          onClick={() => setAsked(page + 1)}
        >
          {t("page_next")}
        </button>
      </figcaption>
    </figure>
  );
}
