// The machine from above, front at the top: where the rider is on the walk, which stations are done and where something was found.
// Decoration for those who see it; the words beside it say the same.
import type { JSX } from "preact";

const parts: Readonly<Record<string, JSX.Element>> = {
  "front-wheel": <rect x="53" y="14" width="14" height="58" rx="7" />,
  "rear-wheel": <rect x="51" y="172" width="18" height="62" rx="9" />,
  lights: (
    <>
      <path d="M49 70q11-14 22 0z" />
      <rect x="52" y="238" width="16" height="7" rx="3" />
      <circle cx="36" cy="88" r="4" />
      <circle cx="84" cy="88" r="4" />
    </>
  ),
  engine: <path d="M42 112h36v30H42zM38 118h4M38 126h4M38 134h4M78 118h4M78 126h4M78 134h4" />,
  drive: (
    <>
      <path d="M80 136v66" />
      <circle cx="80" cy="132" r="6" />
      <circle cx="80" cy="206" r="10" />
    </>
  ),
  saddle: (
    <>
      <path d="M18 84q20-10 42-2q22-8 42 2" fill="none" />
      <path d="M12 84h14M94 84h14" />
      <path d="M50 146q10-8 20 0l4 38q-14 10-28 0z" />
    </>
  ),
  rolling: <path d="M60 8V-8M52 0l8-9 8 9M28 236l10-14M92 236 82 222" fill="none" />,
  rider: (
    <>
      <ellipse cx="106" cy="160" rx="11" ry="13" />
      <path d="M97 157q9 6 18 0" fill="none" />
    </>
  ),
};

export interface StationState {
  readonly id: string;
  readonly state: "ahead" | "here" | "well" | "found";
}

export const MachineDrawing = ({ stations }: { stations: readonly StationState[] }) => (
  <svg class="machine-drawing" viewBox="-4 -16 128 268" aria-hidden="true" stroke-linecap="round" stroke-linejoin="round">
    <path class="frame-line" d="M60 72v100M46 76l-4 36M74 76l4 36M44 142l6 34M76 142l-6 34" />
    {/* What is here now lies on top of its neighbours. */}
    {[...stations]
      .sort((one, other) => Number(one.state === "here") - Number(other.state === "here"))
      .map(({ id, state }) => (
        <g key={id} class={`part part-${state}`}>
          {parts[id]}
        </g>
      ))}
  </svg>
);
