import type { Language } from "../../../shared/words/index.ts";
import type { AppContext } from "../../acts/index.ts";
import type { ReportFile } from "../../pdf/index.ts";
import { type Asking, inView, objectOf, type View } from "../../platform/index.ts";
import { depotsOfReport, frameOfDepot } from "../collect-frame.ts";
import { fileNameOf } from "../rules.ts";
import { type DepotRow, type LabelRow, readDepots, readLabels } from "../store.ts";
import { composeLabels } from "./compose-labels.ts";

interface Labelled {
  readonly label: LabelRow;
  readonly depot: DepotRow;
}

const machine = objectOf({
  name: "machine",
  missing: "There is no machine with this id.",
  find: async ({ db }: AppContext, id): Promise<Labelled | null> => {
    const [label] = await readLabels(db, null, id);
    const [depot] = label === undefined ? [] : await readDepots(db, [label.depotId]);
    return label && depot ? { label, depot } : null;
  },
  depotOf: ({ depot }) => depot.id,
});

/** The machines of a view, or the one whose label is lost. */
export const oneInView: Asking<AppContext, View | Labelled> = {
  ...inView,
  ask: (context, actor, asked) =>
    asked.machineId === undefined ? inView.ask(context, actor, asked) : machine.ask(context, actor, { id: asked.machineId }),
};

/**
 * Labels to scan for the machines of a view, or for one machine whose label is lost. `origin` is where the pages are
 * opened. They show nothing from the records, so taking them is not recorded. Throws `not-found`.
 */
export async function takeLabels(context: AppContext, asked: View | Labelled, origin: string, language: Language): Promise<ReportFile> {
  const isOne = "label" in asked;
  const { frame, labels } = isOne ? await labelOfMachine(context, asked, language) : await labelsOfDepots(context, asked, language);
  const name = isOne ? asked.label.registrationMark : frame.depotName;
  return { report: composeLabels({ frame, labels, origin }), fileName: fileNameOf("pdf", "labels", name) };
}

async function labelsOfDepots(context: AppContext, view: View, language: Language) {
  const { frame, depots } = await depotsOfReport(context, view, language);
  return {
    frame,
    labels: await readLabels(
      context.db,
      depots.map(({ id }) => id),
    ),
  };
}

async function labelOfMachine(context: AppContext, { label, depot }: Labelled, language: Language) {
  return { frame: await frameOfDepot(context, depot, language), labels: [label] };
}
