// Who rides what, as it is kept: by whom, since when, and how each line stands now.
import type { KeptAllocation } from "../../../shared/contracts/planning.ts";
import { StandingMark } from "../frame/parts.tsx";
import { say, sayKey, sayMoment } from "../frame/words.ts";

type Line = KeptAllocation["allocations"][number];

export function KeptRides({ allocation, onChange }: { readonly allocation: KeptAllocation; readonly onChange: (() => void) | null }) {
  const { keptBy, keptAt, allocations } = allocation;
  if (keptBy === null || keptAt === null) return null;
  return (
    <>
      <p role="status">{say("board.rides.kept", { name: keptBy.name, at: sayMoment(keptAt) })}</p>
      {onChange && (
        <>
          {allocations.length > 0 && <Lines lines={allocations} />}
          <button type="button" onClick={onChange}>
            {say("board.rides.change")}
          </button>
        </>
      )}
    </>
  );
}

const Lines = ({ lines }: { readonly lines: readonly Line[] }) => (
  // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by the keyboard
  <section class="wide" tabIndex={0} aria-label={say("board.riders")}>
    <table class="rides">
      <thead>
        <tr>
          <th scope="col">{say("role.rider")}</th>
          <th scope="col">{say("board.machine")}</th>
        </tr>
      </thead>
      <tbody>
        {lines.map((line) => (
          <tr key={line.staffId}>
            <th scope="row">
              <bdi>{line.name}</bdi> <span class="mono">{line.staffNumber}</span>
            </th>
            <td>
              <span class="mono">{line.registrationMark}</span> {line.standing !== null && <StandingMark standing={line.standing} />}
              {saidOf(line).map((text) => (
                <div key={text} class="small">
                  {text}
                </div>
              ))}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  </section>
);

/** What is not as it should be; what the standing says is not said twice. */
const saidOf = ({ flags }: Line): string[] => flags.flatMap((flag) => sayKey(`board.rides.${flag}`, "") || []);
