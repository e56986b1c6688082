import "@fontsource/atkinson-hyperlegible-next/latin-400.css";
import "@fontsource/atkinson-hyperlegible-next/latin-500.css";
import "@fontsource/atkinson-hyperlegible-next/latin-600.css";
import "@fontsource/atkinson-hyperlegible-next/latin-700.css";
import "./design/tokens.css";
import "./design/base.css";
import "./i18n";
import { StrictMode } from "react";
import { createRoot } from "react-dom/client";
import { App } from "./App";
import { layChosenPaper } from "./design/paper";

layChosenPaper();

const page = document.getElementById("page");
if (!page) throw new Error("index.html has no place for the page.");
createRoot(page).render(
  <StrictMode>
    <App />
  </StrictMode>,
);
