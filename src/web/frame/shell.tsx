// The frame of every page: the head with the areas, who is signed in, the settings, and signing in again when a session has ended.

import { Component, type ComponentChildren, type ComponentType } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { Role } from "../../../shared/contracts/common.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { type HoldsRoles, holds, rolesOf } from "../../../shared/rules/roles.ts";
import type { PageWordKey } from "../../../shared/words/speak.ts";
import { Leaving } from "./leaving.tsx";
import { size, sizes, theme, themes } from "./look.ts";
import { OwnSecret } from "./own-secret.tsx";
import { Choice, Dialog, Trouble, Waiting } from "./parts.tsx";
import { path, to } from "./route.ts";
import { signInState } from "./session.ts";
import { SignIn } from "./sign-in.tsx";
import { useStore } from "./store.ts";
import { chooseLanguage, languageNames, say, spoken } from "./words.ts";

export interface AreaProps {
  readonly person: Person;
  /** what stands behind the area's name in the address */
  readonly path: readonly string[];
}

export interface Area {
  readonly name: "walk" | "bench" | "board" | "audit" | "costs";
  readonly roles: readonly Role[];
  load(): Promise<{ readonly default: ComponentType<AreaProps> }>;
}

/** Where each role begins. */
const home: Readonly<Record<Role, Area["name"]>> = { rider: "walk", mechanic: "bench", manager: "board", auditor: "audit" };

/** The area that somebody sees at an address: the one it names, if one of their roles has it; else where the first of them begins. */
export const areaAt = (areas: readonly Area[], person: HoldsRoles, name: string | undefined): Area | undefined =>
  areas.find((area) => area.name === name && holds(person, ...area.roles)) ?? areas.find((area) => area.name === home[person.role]);

export function Shell({ areas }: { areas: readonly Area[] }) {
  const { person, ended, code } = useStore(signInState);
  useStore(spoken);
  const shown = useRef<string | null>(null);
  if (person === null) shown.current = null;
  if (person === null) {
    return (
      <main id="content" class="narrow">
        <SignIn />
      </main>
    );
  }
  if (person.mustChangeSecret && shown.current !== person.id) {
    return (
      <main id="content" class="narrow">
        <OwnSecret person={person} code={code} heading />
      </main>
    );
  }
  shown.current = person.id;
  return (
    <>
      {/* Keyed by person, so that nothing of the previous person's pages stays. */}
      <Frame key={person.id} person={person} areas={areas.filter(({ roles }) => holds(person, ...roles))} />
      {ended && (
        <Dialog title={say("page.sign-in")}>
          <SignIn before={person} />
        </Dialog>
      )}
      {!ended && person.mustChangeSecret && (
        <Dialog title={say("page.own-secret.must")}>
          <OwnSecret person={person} code={code} />
        </Dialog>
      )}
    </>
  );
}

function Frame({ person, areas }: { person: Person; areas: readonly Area[] }) {
  const parts = useStore(path);
  const area = areaAt(areas, person, parts[0]);
  const [settings, showSettings] = useState(false);
  return (
    <>
      <button type="button" class="skip" onClick={() => document.getElementById("content")?.focus()}>
        {say("page.skip")}
      </button>
      <header class="head">
        <nav aria-label={say("page.areas")}>
          {areas.map(({ name }) => (
            <a key={name} href={to(name)} aria-current={name === area?.name ? "page" : undefined}>
              {say(`page.area.${name}` satisfies PageWordKey)}
            </a>
          ))}
        </nav>
        <button type="button" class="quiet who" onClick={() => showSettings(true)}>
          <bdi>{person.name}</bdi> <span class="mono">{person.staffNumber}</span>
        </button>
      </header>
      {settings && <Settings person={person} onClose={() => showSettings(false)} />}
      <main id="content" tabIndex={-1}>
        <Guard>{area && <Lazy key={area.name} area={area} person={person} path={parts[0] === area.name ? parts.slice(1) : []} />}</Guard>
      </main>
    </>
  );
}

/** The area's own code, fetched when it is first opened. */
function Lazy({ area, ...props }: AreaProps & { area: Area }) {
  const [View, setView] = useState<ComponentType<AreaProps> | null>(null);
  const [error, setError] = useState<unknown>(null);
  const fetchIt = () => {
    setError(null);
    area.load().then((module) => setView(() => module.default), setError);
  };
  useEffect(fetchIt, [area]);
  if (View) return <View {...props} />;
  return error ? <Trouble error={error} again={fetchIt} /> : <Waiting />;
}

/** Shows a sentence instead of an empty page if a page throws. */
class Guard extends Component<{ children: ComponentChildren }, { broken: boolean }> {
  override state = { broken: false };

  static override getDerivedStateFromError = () => ({ broken: true });

  override componentDidCatch(error: unknown): void {
    console.error(error);
  }

  override render() {
    if (!this.state.broken) return this.props.children;
    return (
      <div class="trouble" role="alert">
        <p>{say("page.broken")}</p>
        <button type="button" onClick={() => location.reload()}>
          {say("page.reload")}
        </button>
      </div>
    );
  }
}

function Settings({ person, onClose }: { person: Person; onClose: () => void }) {
  const [changing, change] = useState(false);
  if (changing) {
    return (
      <Dialog key="secret" title={say("page.own-secret")} onClose={onClose}>
        <OwnSecret person={person} code={null} />
      </Dialog>
    );
  }
  return (
    <Dialog key="settings" title={say("page.settings")} onClose={onClose}>
      <p>
        <bdi>{person.name}</bdi>,{" "}
        {rolesOf(person)
          .map((role) => say(`role.${role}`))
          .join(", ")}
      </p>
      <Choice
        label={say("page.theme")}
        value={useStore(theme)}
        options={themes.map((value) => ({ value, text: say(`page.theme.${value}`) }))}
        onChange={theme.set}
      />
      <Choice
        label={say("page.size")}
        value={useStore(size)}
        options={sizes.map((value) => ({ value, text: say(`page.size.${value}`) }))}
        onChange={size.set}
      />
      <Choice
        label={say("page.language")}
        value={useStore(spoken)}
        options={(Object.entries(languageNames) as [keyof typeof languageNames, string][]).map(([value, text]) => ({ value, text }))}
        onChange={(value) => void chooseLanguage(value)}
      />
      <button type="button" onClick={() => change(true)}>
        {say("page.own-secret")}
      </button>
      <Leaving person={person} onStay={onClose} />
    </Dialog>
  );
}
