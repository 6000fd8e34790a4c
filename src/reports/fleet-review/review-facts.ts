// The facts of the fleet's review, as facts.ts has those that every report takes.
import type { ComponentLife, ControlCharts, DefectRates, Honesty, MachineRisk } from "../../../shared/contracts/insight.ts";
import type { Frame } from "../facts.ts";

export interface FleetReviewFacts {
  readonly frame: Frame;
  /** `YYYY-MM` */
  readonly month: string;
  readonly from: string;
  /** The month's last day, or today in a month that still runs. */
  readonly to: string;
  readonly isOver: boolean;
  readonly honesty: Honesty;
  readonly rates: DefectRates;
  readonly charts: ControlCharts;
  readonly life: ComponentLife;
  readonly risk: MachineRisk;
}
