-- Results are rows that can be computed anew from the samples: the old ones go, and a recompute is put in line.
DELETE FROM "transfer";--> statement-breakpoint
DELETE FROM "dropout";--> statement-breakpoint
DELETE FROM "near_limit";--> statement-breakpoint
DELETE FROM "day_result";--> statement-breakpoint
DELETE FROM "hour_result";--> statement-breakpoint
DELETE FROM "gap";--> statement-breakpoint
DELETE FROM "result_note";--> statement-breakpoint
DELETE FROM "site_result";--> statement-breakpoint
UPDATE "site" SET "results_revision" = NULL;--> statement-breakpoint
INSERT INTO "job" ("site_id", "kind", "payload")
SELECT "site_id", 'recompute', '{}' FROM "site"
WHERE EXISTS (SELECT 1 FROM "logger" WHERE "logger"."site_id" = "site"."site_id" AND "logger"."samples" > 0)
  AND NOT EXISTS (SELECT 1 FROM "job" WHERE "job"."site_id" = "site"."site_id" AND "kind" = 'recompute' AND "state" = 'waiting');--> statement-breakpoint
CREATE TABLE "imbalance_interval" (
	"site_id" integer NOT NULL,
	"segment_ms" bigint NOT NULL,
	"from_ms" bigint NOT NULL,
	"to_ms" double precision NOT NULL,
	"duration_s" double precision NOT NULL,
	"max_difference_w" double precision NOT NULL,
	"max_difference_at_ms" bigint NOT NULL,
	"interval_s" double precision NOT NULL,
	"heavier_leg" text NOT NULL,
	CONSTRAINT "imbalance_interval_site_id_from_ms_pk" PRIMARY KEY("site_id","from_ms")
);
--> statement-breakpoint
CREATE TABLE "interval_change" (
	"site_id" integer NOT NULL,
	"segment_ms" bigint NOT NULL,
	"from_ms" bigint NOT NULL,
	"nominal_ms" double precision NOT NULL,
	CONSTRAINT "interval_change_site_id_from_ms_pk" PRIMARY KEY("site_id","from_ms")
);
--> statement-breakpoint
CREATE TABLE "kept_state" (
	"site_id" integer NOT NULL,
	"midnight_ms" bigint NOT NULL,
	"pass_config" text NOT NULL,
	"state" "bytea" NOT NULL,
	CONSTRAINT "kept_state_site_id_midnight_ms_pk" PRIMARY KEY("site_id","midnight_ms")
);
--> statement-breakpoint
ALTER TABLE "logger" ALTER COLUMN "nominal_ms" SET DATA TYPE double precision;--> statement-breakpoint
ALTER TABLE "gap" ALTER COLUMN "from_ms" SET DATA TYPE double precision;--> statement-breakpoint
ALTER TABLE "near_limit" ALTER COLUMN "to_ms" SET DATA TYPE double precision;--> statement-breakpoint
ALTER TABLE "log" ADD COLUMN "guessed" text[];--> statement-breakpoint
ALTER TABLE "log" ADD COLUMN "shift_ms" bigint;--> statement-breakpoint
ALTER TABLE "log" ADD COLUMN "site_zone" text;--> statement-breakpoint
ALTER TABLE "log" ADD COLUMN "first_stamps_ms" bigint[];--> statement-breakpoint
ALTER TABLE "fault_word" ADD COLUMN "log_id" integer;--> statement-breakpoint
ALTER TABLE "logger" ADD COLUMN "has_segments" boolean DEFAULT true NOT NULL;--> statement-breakpoint
ALTER TABLE "day_result" ADD COLUMN "segment_ms" bigint NOT NULL;--> statement-breakpoint
ALTER TABLE "day_result" ADD COLUMN "first_ms" double precision NOT NULL;--> statement-breakpoint
ALTER TABLE "day_result" ADD COLUMN "until_ms" double precision NOT NULL;--> statement-breakpoint
ALTER TABLE "day_result" ADD COLUMN "counts" jsonb NOT NULL;--> statement-breakpoint
ALTER TABLE "day_result" ADD COLUMN "sums" "bytea" NOT NULL;--> statement-breakpoint
ALTER TABLE "dropout" ADD COLUMN "segment_ms" bigint NOT NULL;--> statement-breakpoint
ALTER TABLE "dropout" ADD COLUMN "found" "bytea" NOT NULL;--> statement-breakpoint
ALTER TABLE "dropout" ADD COLUMN "digest" text NOT NULL;--> statement-breakpoint
ALTER TABLE "gap" ADD COLUMN "segment_ms" bigint NOT NULL;--> statement-breakpoint
ALTER TABLE "hour_result" ADD COLUMN "segment_ms" bigint NOT NULL;--> statement-breakpoint
ALTER TABLE "near_limit" ADD COLUMN "segment_ms" bigint NOT NULL;--> statement-breakpoint
ALTER TABLE "near_limit" ADD COLUMN "limit_w" double precision;--> statement-breakpoint
ALTER TABLE "near_limit" ADD COLUMN "limit_a" double precision;--> statement-breakpoint
ALTER TABLE "near_limit" ADD COLUMN "interval_s" double precision NOT NULL;--> statement-breakpoint
ALTER TABLE "near_limit" ADD COLUMN "longest_on_inverter_s" double precision NOT NULL;--> statement-breakpoint
ALTER TABLE "near_limit" ADD COLUMN "longest_on_inverter_from_ms" bigint;--> statement-breakpoint
ALTER TABLE "result_note" ADD COLUMN "date" text;--> statement-breakpoint
ALTER TABLE "site_result" ADD COLUMN "return_delay" jsonb NOT NULL;--> statement-breakpoint
ALTER TABLE "site_result" ADD COLUMN "settings" jsonb NOT NULL;--> statement-breakpoint
ALTER TABLE "site_result" ADD COLUMN "nominal_ms" double precision;--> statement-breakpoint
ALTER TABLE "site_result" ADD COLUMN "notes_digest" text NOT NULL;--> statement-breakpoint
ALTER TABLE "site_result" ADD COLUMN "pass_config" text NOT NULL;--> statement-breakpoint
ALTER TABLE "site_result" ADD COLUMN "first_soc_pct" double precision;--> statement-breakpoint
ALTER TABLE "site_result" ADD COLUMN "fault_words" jsonb NOT NULL;--> statement-breakpoint
ALTER TABLE "transfer" ADD COLUMN "segment_ms" bigint NOT NULL;--> statement-breakpoint
ALTER TABLE "transfer" ADD COLUMN "found" "bytea" NOT NULL;--> statement-breakpoint
ALTER TABLE "transfer" ADD COLUMN "digest" text NOT NULL;--> statement-breakpoint
ALTER TABLE "imbalance_interval" ADD CONSTRAINT "imbalance_interval_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "interval_change" ADD CONSTRAINT "interval_change_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "kept_state" ADD CONSTRAINT "kept_state_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "result_note_date" ON "result_note" USING btree ("site_id","date");--> statement-breakpoint
ALTER TABLE "site_result" DROP COLUMN "longest_run_held_s";