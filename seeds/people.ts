// The people of the demo firm. Every name is put together for this purpose; a likeness to anybody is chance.
import { type Competence, competenceSchema, type Role } from "../shared/contracts/common.ts";

export type DepotKey = "quay" | "yard";

export interface DemoPerson {
  readonly number: string;
  readonly name: string;
  readonly role: Role;
  /** worn besides that one */
  readonly alsoRoles?: readonly Role[];
  /** null: all depots */
  readonly depot: DepotKey | null;
  readonly competences: readonly Competence[];
  readonly licenceClass: string | null;
}

const person = (number: string, name: string, role: Role, depot: DepotKey | null, competences: readonly Competence[] = []): DemoPerson => ({
  number,
  name,
  role,
  depot,
  competences,
  licenceClass: null,
});

const riders = (from: number, depot: DepotKey, names: readonly string[]): DemoPerson[] =>
  names.map((name, index) => {
    const number = `R${String(from + index).padStart(3, "0")}`;
    return { ...person(number, name, "rider", depot), licenceClass: mopedOnly.includes(number) ? "AM" : "A1" };
  });

/** Riders whose licence is for mopeds only. */
const mopedOnly: readonly string[] = ["R011", "R012", "R022", "R023"];

export const firmName = "Corvensel Couriers";

/** Depots by key; the town and its hills are invented, the zones are real ones that differ, one with summer time and one without. */
export const demoDepots: Readonly<Record<DepotKey, { name: string; timeZone: string; workshopHoursPerDay: number }>> = {
  quay: { name: "Saltbriar Quay", timeZone: "Europe/Lisbon", workshopHoursPerDay: 4 },
  yard: { name: "Umberhill Yard", timeZone: "Africa/Nairobi", workshopHoursPerDay: 8 },
};

export const demoPeople: readonly DemoPerson[] = [
  person("F001", "Marisela Thornquist", "manager", null),
  person("A001", "Ярина Громовенко", "auditor", null),
  person("M001", "Efe Lindqvarn", "mechanic", null, competenceSchema.options),
  // Writes the allocation when the manager is away.
  { ...person("M002", "Søren Agyekum", "mechanic", null, competenceSchema.options), alsoRoles: ["manager"] },
  person("M003", "ธนกฤต วารีทอง", "mechanic", null),
  person("M004", "Đặng Minh Khuê", "mechanic", "yard", ["general", "drive", "engine", "electrics", "inspection"]),
  ...riders(1, "quay", [
    "Zoë Mbatiani",
    "Håkon Vellström",
    "Nguyễn Thị Bảo Lam",
    "Радмила Стојковац",
    "Łucja Wiśnicka",
    "Joaquín Peñalver",
    "İlkay Özdoruk",
    "Chinedu Okwarra",
    "สุภาวดี แก้วนาคา",
    "Amélie Fourçade",
    "Тимофей Заречин",
    "Đỗ Quốc Vinh",
    "Siobhán Mac Ruaidh",
    "Kofi Asanteba",
  ]),
  ...riders(15, "yard", [
    "Márton Szélkúti",
    "Γεωργία Παπαλάμπρου",
    "Wanjiru Kathenya",
    "Þórdís Hallveig",
    "Jiří Vrbický",
    "Айгүл Саматкызы",
    "ปกรณ์ ศรีสมุทรา",
    "Adaeze Nwankiri",
    "Lê Hoàng Yến",
    "Beatriz Gonçalvão",
  ]),
];

/** The secret of a demo person; known to everybody, which is why production refuses them. */
export const secretOf = (number: string): string => `demo-${number}`;

/** What the manager gave them on their first day; used up since. */
export const codeOf = (number: string): string => `first-day-${number}`;
