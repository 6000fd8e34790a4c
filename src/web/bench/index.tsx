// The mechanic's pages: what waits, a defect and its repair, the weekly inspection, a machine's story.
import { holds, onlyRides } from "../../../shared/rules/roles.ts";
import type { AreaProps } from "../frame/shell.tsx";
import { CampaignPage } from "./campaign.tsx";
import { CampaignsPage } from "./campaigns.tsx";
import { DefectPage } from "./defect.tsx";
import { BenchHome } from "./home.tsx";
import { InspectPage } from "./inspect.tsx";
import { OutsidePage } from "./outside.tsx";
import { StockPage } from "./stock.tsx";
import { StoryPage } from "./story.tsx";

export default function Bench({ person, path }: AreaProps) {
  const [view, id, item] = path;
  if (view === "defect" && id !== undefined) return <DefectPage key={id} id={id} person={person} />;
  if (view === "machine" && id !== undefined) return <StoryPage key={id} id={id} person={person} />;
  if (view === "outside" && id !== undefined && !onlyRides(person)) return <OutsidePage key={id} id={id} person={person} />;
  if (view === "campaigns" && !onlyRides(person)) return <CampaignsPage person={person} />;
  if (view === "stock" && holds(person, "mechanic", "manager")) return <StockPage />;
  if (view === "campaign" && id !== undefined && !onlyRides(person)) return <CampaignPage key={id} id={id} person={person} />;
  if (view === "inspect" && id !== undefined && holds(person, "mechanic")) {
    return <InspectPage key={id} machineId={id} itemId={item ?? null} person={person} />;
  }
  return <BenchHome person={person} />;
}
