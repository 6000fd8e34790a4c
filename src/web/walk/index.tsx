import type { AreaProps } from "../frame/shell.tsx";

export default function View({ person }: AreaProps) {
  return <h1>{person.name}</h1>;
}
