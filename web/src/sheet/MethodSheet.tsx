import { getText } from "../base/api";
import { Sheet } from "../base/controls";
import { Fetched } from "../base/Fetched";
import { Markdown } from "../base/Markdown";
import { useStore } from "../base/store";
import { desk } from "./desk";

/** The page of the methods that an answer rests on. */
export function MethodSheet() {
  const method = useStore(desk, (d) => d.method);
  return (
    <Sheet title="How this is worked out" open={method !== null} onClose={() => desk.set({ method: null })}>
      {method !== null ? (
        <div className="method">
          <Fetched of={method} ask={() => getText(`/api/method/${encodeURIComponent(method)}`)} absent="This page of the methods is not there yet.">
            {(text) => <Markdown text={text} open={(name) => desk.set({ method: name })} />}
          </Fetched>
        </div>
      ) : null}
    </Sheet>
  );
}
