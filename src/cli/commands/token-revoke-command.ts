import { revokeToken } from "../../../db/writes/revoke-token";
import type { Command } from "../command";
import { CommandError } from "../command-error";
import { requiredWords } from "../required";
import { withDatabase } from "../with-database";
import { writeOut } from "../write-out";

const COMMAND = { name: "token revoke", usage: "legroom token revoke ID" };

/** `token revoke`: a token is answered to no more. */
export const tokenRevokeCommand: Command = {
  ...COMMAND,
  summary: "revokes a token of the HTTP API",
  description: 'From now on nothing is answered to the token. "legroom token list" says which id it has.',
  maxWords: 1,
  options: {},
  async run(input) {
    const [id] = requiredWords(COMMAND, input, "the id of a token");
    if (!/^[1-9]\d{0,8}$/.test(id)) {
      throw new CommandError(2, `"${id}" is no id of a token.`, ['"legroom token list" prints them.']);
    }
    return withDatabase(async (database) => {
      if (!(await revokeToken(database, Number(id)))) {
        throw new CommandError(1, `There is no token ${id}, or it is revoked already.`, [
          '"legroom token list" prints those there are.',
        ]);
      }
      await writeOut(`Token ${id} is revoked.\n`);
      return 0;
    });
  },
};
