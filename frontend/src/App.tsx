import { QueryClientProvider } from "@tanstack/react-query";
import { queries } from "./api/queries";
import { CasePage } from "./CasePage";
import { useSay } from "./i18n/say";
import { useRoute } from "./routes";
import { Boundary } from "./shell/Boundary";
import { LetIn } from "./shell/LetIn";
import { Cases } from "./stops/Cases";

/** The page: who reads it, then where they are. */
export function App() {
  useSay();
  return (
    <QueryClientProvider client={queries}>
      <Boundary>
        <LetIn>
          <Place />
        </LetIn>
      </Boundary>
    </QueryClientProvider>
  );
}

function Place() {
  const route = useRoute();
  if (route.at === "cases") return <Cases />;
  return <CasePage key={route.caseId} caseId={route.caseId} stop={route.stop} />;
}
