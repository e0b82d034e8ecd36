DELETE FROM "site_result";--> statement-breakpoint
UPDATE "site" SET "results_revision" = NULL;--> statement-breakpoint
CREATE TABLE "continuous_load" (
	"site_id" integer NOT NULL,
	"segment_ms" bigint NOT NULL,
	"device" text NOT NULL,
	"from_ms" bigint NOT NULL,
	"to_ms" double precision NOT NULL,
	"duration_s" double precision NOT NULL,
	"rating_a" double precision NOT NULL,
	"mean_a" double precision NOT NULL,
	"max_a" double precision NOT NULL,
	"max_at_ms" bigint NOT NULL,
	CONSTRAINT "continuous_load_site_id_from_ms_device_pk" PRIMARY KEY("site_id","from_ms","device")
);
--> statement-breakpoint
CREATE TABLE "open_neutral" (
	"site_id" integer NOT NULL,
	"segment_ms" bigint NOT NULL,
	"from_ms" bigint NOT NULL,
	"to_ms" double precision NOT NULL,
	"samples" integer NOT NULL,
	"max_difference_v" double precision NOT NULL,
	"max_difference_at_ms" bigint NOT NULL,
	"l1_v" double precision NOT NULL,
	"l2_v" double precision NOT NULL,
	"l1_w" double precision NOT NULL,
	"l2_w" double precision NOT NULL,
	"source" text NOT NULL,
	CONSTRAINT "open_neutral_site_id_from_ms_pk" PRIMARY KEY("site_id","from_ms")
);
--> statement-breakpoint
ALTER TABLE "site_result" ADD COLUMN "conclude_config" text NOT NULL;--> statement-breakpoint
ALTER TABLE "transfer" ADD COLUMN "delay_s" double precision;--> statement-breakpoint
ALTER TABLE "continuous_load" ADD CONSTRAINT "continuous_load_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "open_neutral" ADD CONSTRAINT "open_neutral_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "day_result_segment" ON "day_result" USING btree ("site_id","segment_ms");--> statement-breakpoint
CREATE INDEX "hour_result_segment" ON "hour_result" USING btree ("site_id","segment_ms");--> statement-breakpoint
CREATE INDEX "near_limit_segment" ON "near_limit" USING btree ("site_id","segment_ms");--> statement-breakpoint
CREATE INDEX "transfer_segment" ON "transfer" USING btree ("site_id","segment_ms");