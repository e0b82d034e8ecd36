CREATE TABLE "job" (
	"site_id" integer NOT NULL,
	"job_id" integer GENERATED ALWAYS AS IDENTITY (sequence name "job_job_id_seq" INCREMENT BY 1 MINVALUE 1 MAXVALUE 2147483647 START WITH 1 CACHE 1),
	"kind" text NOT NULL,
	"payload" jsonb NOT NULL,
	"state" text DEFAULT 'waiting' NOT NULL,
	"attempts" integer DEFAULT 0 NOT NULL,
	"progress" jsonb,
	"result" jsonb,
	"error" jsonb,
	"cancel_requested" boolean DEFAULT false NOT NULL,
	"created_at_ms" bigint DEFAULT (extract(epoch from clock_timestamp()) * 1000)::bigint NOT NULL,
	"started_at_ms" bigint,
	"finished_at_ms" bigint,
	CONSTRAINT "job_site_id_job_id_pk" PRIMARY KEY("site_id","job_id")
);
--> statement-breakpoint
CREATE TABLE "log" (
	"site_id" integer NOT NULL,
	"log_id" integer GENERATED ALWAYS AS IDENTITY (sequence name "log_log_id_seq" INCREMENT BY 1 MINVALUE 1 MAXVALUE 2147483647 START WITH 1 CACHE 1),
	"logger_id" integer NOT NULL,
	"sha256" text NOT NULL,
	"name" text NOT NULL,
	"size_bytes" bigint NOT NULL,
	"compressed_bytes" bigint NOT NULL,
	"column_map" jsonb,
	"evidence" jsonb,
	"verdict" jsonb,
	"state" text NOT NULL,
	"position" integer,
	"first_ms" bigint,
	"last_ms" bigint,
	"received_at_ms" bigint DEFAULT (extract(epoch from clock_timestamp()) * 1000)::bigint NOT NULL,
	"imported_at_ms" bigint,
	"problem" jsonb,
	CONSTRAINT "log_site_id_log_id_pk" PRIMARY KEY("site_id","log_id")
);
--> statement-breakpoint
CREATE TABLE "log_chunk" (
	"site_id" integer NOT NULL,
	"log_id" integer NOT NULL,
	"seq" integer NOT NULL,
	"bytes" "bytea" NOT NULL,
	CONSTRAINT "log_chunk_site_id_log_id_seq_pk" PRIMARY KEY("site_id","log_id","seq")
);
--> statement-breakpoint
CREATE TABLE "reject" (
	"site_id" integer NOT NULL,
	"log_id" integer NOT NULL,
	"ordinal" integer NOT NULL,
	"line" bigint,
	"column_no" integer,
	"column_name" text,
	"code" text NOT NULL,
	"text" text,
	"guessed" boolean NOT NULL,
	CONSTRAINT "reject_site_id_log_id_ordinal_pk" PRIMARY KEY("site_id","log_id","ordinal")
);
--> statement-breakpoint
CREATE TABLE "fault_word" (
	"site_id" integer NOT NULL,
	"logger_id" integer NOT NULL,
	"fault" integer NOT NULL,
	"code" text NOT NULL,
	"meaning" text,
	CONSTRAINT "fault_word_site_id_logger_id_fault_pk" PRIMARY KEY("site_id","logger_id","fault")
);
--> statement-breakpoint
CREATE TABLE "logger" (
	"site_id" integer NOT NULL,
	"logger_id" integer GENERATED ALWAYS AS IDENTITY (sequence name "logger_logger_id_seq" INCREMENT BY 1 MINVALUE 1 MAXVALUE 2147483647 START WITH 1 CACHE 1),
	"name" text NOT NULL,
	"nominal_ms" bigint,
	"channels" text[] DEFAULT '{}' NOT NULL,
	"has_source" boolean DEFAULT false NOT NULL,
	"has_fault" boolean DEFAULT false NOT NULL,
	"first_ms" bigint,
	"last_ms" bigint,
	"samples" bigint DEFAULT 0 NOT NULL,
	CONSTRAINT "logger_site_id_logger_id_pk" PRIMARY KEY("site_id","logger_id"),
	CONSTRAINT "logger_name" UNIQUE("site_id","name")
);
--> statement-breakpoint
CREATE TABLE "day_result" (
	"site_id" integer NOT NULL,
	"date" text NOT NULL,
	"from_ms" bigint NOT NULL,
	"to_ms" bigint NOT NULL,
	"samples" integer NOT NULL,
	"held_s" double precision NOT NULL,
	"shares_held_s" double precision NOT NULL,
	"load_wh" double precision NOT NULL,
	"solar_wh" double precision NOT NULL,
	"solar_to_load_wh" double precision NOT NULL,
	"battery_to_load_wh" double precision NOT NULL,
	"grid_to_load_wh" double precision NOT NULL,
	"generator_to_load_wh" double precision NOT NULL,
	"unattributed_wh" double precision NOT NULL,
	"solar_to_battery_wh" double precision NOT NULL,
	"grid_to_battery_wh" double precision NOT NULL,
	"generator_to_battery_wh" double precision NOT NULL,
	"solar_to_grid_wh" double precision NOT NULL,
	"battery_to_grid_wh" double precision NOT NULL,
	"losses_wh" double precision NOT NULL,
	"supplied_wh" double precision NOT NULL,
	"battery_to_load_of_solar_wh" double precision NOT NULL,
	"on_s" jsonb NOT NULL,
	"peak_loading" double precision,
	"peak_quantity" text,
	"peak_at_ms" bigint,
	"peak_loading_l1" double precision,
	"peak_loading_l2" double precision,
	"peak_loading_total" double precision,
	CONSTRAINT "day_result_site_id_date_pk" PRIMARY KEY("site_id","date")
);
--> statement-breakpoint
CREATE TABLE "dropout" (
	"site_id" integer NOT NULL,
	"at_ms" bigint NOT NULL,
	"ended_at_ms" bigint,
	"dead_s" double precision NOT NULL,
	"lower_bound" boolean NOT NULL,
	"cause" text NOT NULL,
	"also_holds" jsonb NOT NULL,
	"certainty" text NOT NULL,
	"limiting" text,
	"peak_loading" double precision,
	"peak_at_ms" bigint,
	"tags" jsonb,
	"nuisance" boolean,
	"avoidable" boolean,
	"evidence" jsonb NOT NULL,
	CONSTRAINT "dropout_site_id_at_ms_pk" PRIMARY KEY("site_id","at_ms")
);
--> statement-breakpoint
CREATE TABLE "gap" (
	"site_id" integer NOT NULL,
	"from_ms" bigint NOT NULL,
	"to_ms" bigint NOT NULL,
	CONSTRAINT "gap_site_id_from_ms_pk" PRIMARY KEY("site_id","from_ms")
);
--> statement-breakpoint
CREATE TABLE "hour_result" (
	"site_id" integer NOT NULL,
	"from_ms" bigint NOT NULL,
	"to_ms" bigint NOT NULL,
	"held_s" double precision NOT NULL,
	"peak_loading" double precision,
	"peak_quantity" text,
	"peak_at_ms" bigint,
	CONSTRAINT "hour_result_site_id_from_ms_pk" PRIMARY KEY("site_id","from_ms")
);
--> statement-breakpoint
CREATE TABLE "near_limit" (
	"site_id" integer NOT NULL,
	"quantity" text NOT NULL,
	"from_ms" bigint NOT NULL,
	"to_ms" bigint NOT NULL,
	"duration_s" double precision NOT NULL,
	"peak_w" double precision,
	"peak_a" double precision,
	"peak_at_ms" bigint NOT NULL,
	"peak_loading" double precision NOT NULL,
	"mean_loading" double precision NOT NULL,
	"over_limit_s" double precision NOT NULL,
	"on_inverter_s" double precision NOT NULL,
	"on_utility_s" double precision NOT NULL,
	CONSTRAINT "near_limit_site_id_from_ms_quantity_pk" PRIMARY KEY("site_id","from_ms","quantity")
);
--> statement-breakpoint
CREATE TABLE "result_note" (
	"site_id" integer NOT NULL,
	"ordinal" integer NOT NULL,
	"code" text NOT NULL,
	"figures" jsonb NOT NULL,
	CONSTRAINT "result_note_site_id_ordinal_pk" PRIMARY KEY("site_id","ordinal")
);
--> statement-breakpoint
CREATE TABLE "site_result" (
	"site_id" integer PRIMARY KEY NOT NULL,
	"coverage" jsonb NOT NULL,
	"total" jsonb NOT NULL,
	"longest_run_held_s" double precision
);
--> statement-breakpoint
CREATE TABLE "transfer" (
	"site_id" integer NOT NULL,
	"at_ms" bigint NOT NULL,
	"returned_at_ms" bigint,
	"on_utility_s" double precision NOT NULL,
	"lower_bound" boolean NOT NULL,
	"to_source" text NOT NULL,
	"cause" text NOT NULL,
	"also_holds" jsonb NOT NULL,
	"certainty" text NOT NULL,
	"limiting" text,
	"peak_loading" double precision,
	"peak_at_ms" bigint,
	"tags" jsonb,
	"nuisance" boolean,
	"avoidable" boolean,
	"evidence" jsonb NOT NULL,
	CONSTRAINT "transfer_site_id_at_ms_pk" PRIMARY KEY("site_id","at_ms")
);
--> statement-breakpoint
CREATE TABLE "rollup" (
	"site_id" integer NOT NULL,
	"logger_id" integer NOT NULL,
	"minute_ms" bigint NOT NULL,
	"samples" integer NOT NULL,
	"held_s" real NOT NULL,
	"mean" real[] NOT NULL,
	"min" real[] NOT NULL,
	"max" real[] NOT NULL,
	"on_s" real[],
	CONSTRAINT "rollup_site_id_logger_id_minute_ms_pk" PRIMARY KEY("site_id","logger_id","minute_ms")
);
--> statement-breakpoint
CREATE TABLE "site" (
	"site_id" integer PRIMARY KEY GENERATED ALWAYS AS IDENTITY (sequence name "site_site_id_seq" INCREMENT BY 1 MINVALUE 1 MAXVALUE 2147483647 START WITH 1 CACHE 1),
	"slug" text NOT NULL,
	"name" text NOT NULL,
	"timezone" text NOT NULL,
	"config" jsonb NOT NULL,
	"samples_revision" bigint DEFAULT 0 NOT NULL,
	"results_revision" bigint,
	"results_computed_at_ms" bigint,
	"created_at_ms" bigint DEFAULT (extract(epoch from clock_timestamp()) * 1000)::bigint NOT NULL,
	CONSTRAINT "site_slug" UNIQUE("slug"),
	CONSTRAINT "site_name" UNIQUE("name")
);
--> statement-breakpoint
ALTER TABLE "job" ADD CONSTRAINT "job_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "log" ADD CONSTRAINT "log_site_id_logger_id_logger_site_id_logger_id_fk" FOREIGN KEY ("site_id","logger_id") REFERENCES "public"."logger"("site_id","logger_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "log_chunk" ADD CONSTRAINT "log_chunk_site_id_log_id_log_site_id_log_id_fk" FOREIGN KEY ("site_id","log_id") REFERENCES "public"."log"("site_id","log_id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "reject" ADD CONSTRAINT "reject_site_id_log_id_log_site_id_log_id_fk" FOREIGN KEY ("site_id","log_id") REFERENCES "public"."log"("site_id","log_id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "fault_word" ADD CONSTRAINT "fault_word_site_id_logger_id_logger_site_id_logger_id_fk" FOREIGN KEY ("site_id","logger_id") REFERENCES "public"."logger"("site_id","logger_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "logger" ADD CONSTRAINT "logger_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "day_result" ADD CONSTRAINT "day_result_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "dropout" ADD CONSTRAINT "dropout_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "gap" ADD CONSTRAINT "gap_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "hour_result" ADD CONSTRAINT "hour_result_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "near_limit" ADD CONSTRAINT "near_limit_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "result_note" ADD CONSTRAINT "result_note_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "site_result" ADD CONSTRAINT "site_result_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "transfer" ADD CONSTRAINT "transfer_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "job_open" ON "job" USING btree ("job_id") WHERE state in ('waiting', 'running');--> statement-breakpoint
CREATE UNIQUE INDEX "job_one_recompute_waits" ON "job" USING btree ("site_id") WHERE kind = 'recompute' and state = 'waiting';--> statement-breakpoint
CREATE UNIQUE INDEX "log_content" ON "log" USING btree ("site_id","logger_id","sha256") WHERE state <> 'withdrawn';--> statement-breakpoint
CREATE INDEX "transfer_cause" ON "transfer" USING btree ("site_id","cause","at_ms");