import { configDefaults, defineConfig } from "vitest/config";

/** Tests of processes start servers of their own, whatever server the other database tests run on. */
const PROCESS_TESTS = ["tests/db/server*.test.ts", "tests/db/processes/**/*.test.ts"];

// Tests with servers and kills hold times on machines that are shared: one more try tells a slow moment from a
// defect. Those without a server get none.
export default defineConfig({
  test: {
    projects: [
      {
        test: {
          name: "node",
          include: ["tests/{unit,property,reference,architecture,corpus}/**/*.test.ts"],
          testTimeout: 30_000,
        },
      },
      {
        test: {
          name: "db",
          include: ["tests/db/**/*.test.ts"],
          exclude: [...configDefaults.exclude, ...PROCESS_TESTS],
          globalSetup: "tests/db/global-setup.ts",
          testTimeout: 60_000,
          hookTimeout: 60_000,
          retry: 1,
        },
      },
      {
        test: {
          name: "db-15",
          include: ["tests/db/**/*.test.ts"],
          exclude: [...configDefaults.exclude, ...PROCESS_TESTS],
          globalSetup: "tests/db/global-setup-15.ts",
          testTimeout: 60_000,
          hookTimeout: 60_000,
          retry: 1,
        },
      },
      {
        test: {
          name: "processes",
          include: PROCESS_TESTS,
          testTimeout: 120_000,
          hookTimeout: 120_000,
          retry: 1,
          fileParallelism: false,
        },
      },
    ],
  },
});
