CREATE TABLE "quality_day" (
	"site_id" integer NOT NULL,
	"logger_id" integer NOT NULL,
	"date" text NOT NULL,
	"from_ms" bigint NOT NULL,
	"found" jsonb NOT NULL,
	CONSTRAINT "quality_day_site_id_logger_id_from_ms_pk" PRIMARY KEY("site_id","logger_id","from_ms")
);
--> statement-breakpoint
ALTER TABLE "site" ADD COLUMN "assess_from_ms" bigint;--> statement-breakpoint
ALTER TABLE "site" ADD COLUMN "assess_to_ms" bigint;--> statement-breakpoint
UPDATE "site" SET "assess_from_ms" = -9007199254740991, "assess_to_ms" = 9007199254740991;
