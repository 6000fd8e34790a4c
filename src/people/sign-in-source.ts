// Where a secret came from. Wrong secrets are counted by source, so that somebody who guesses is slowed down and the owner's own device is not.
import ipaddr from "ipaddr.js";
import { digestOf } from "../platform/index.ts";
import { hashOfToken } from "./tokens.ts";

/** The address that a call came from, and the device token, if the browser sent one in our format. */
export interface SignInSource {
  readonly address: string;
  readonly deviceToken: string | null;
}

/**
 * An address as it is counted: of IPv6 the first 64 bits, since whoever has one address there has the rest of its network too (RFC 4291
 * section 2.5.1, RFC 6177). Text that is no address is counted as it is.
 */
export function networkOf(address: string): string {
  if (!ipaddr.isValid(address)) return address;
  const read = ipaddr.process(address);
  if (!(read instanceof ipaddr.IPv6)) return read.toString();
  return `${new ipaddr.IPv6([...read.parts.slice(0, 4), 0, 0, 0, 0]).toString()}/64`;
}

/** The names under which wrong secrets from here are counted. */
export interface CountedAs {
  /** for a device that its person has signed in on */
  readonly device: string | null;
  /** for all others: their network */
  readonly network: string;
}

export const countedAs = ({ address, deviceToken }: SignInSource): CountedAs => ({
  device: deviceToken === null ? null : `device ${hashOfToken(deviceToken)}`,
  network: `network ${digestOf(networkOf(address))}`,
});
