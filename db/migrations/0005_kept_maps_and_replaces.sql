CREATE TABLE "kept_map" (
	"site_id" integer NOT NULL,
	"logger_id" integer NOT NULL,
	"shape_hash" text NOT NULL,
	"shape" jsonb NOT NULL,
	"column_map" jsonb NOT NULL,
	"guessed" text[] NOT NULL,
	"log_name" text NOT NULL,
	"created_at_ms" bigint DEFAULT (extract(epoch from clock_timestamp()) * 1000)::bigint NOT NULL,
	"last_used_ms" bigint DEFAULT (extract(epoch from clock_timestamp()) * 1000)::bigint NOT NULL,
	CONSTRAINT "kept_map_site_id_logger_id_shape_hash_pk" PRIMARY KEY("site_id","logger_id","shape_hash")
);
--> statement-breakpoint
ALTER TABLE "log" ADD COLUMN "replaces" boolean DEFAULT false NOT NULL;--> statement-breakpoint
ALTER TABLE "log" ADD COLUMN "replaces_from_ms" bigint;--> statement-breakpoint
ALTER TABLE "log" ADD COLUMN "replaces_to_ms" bigint;--> statement-breakpoint
ALTER TABLE "kept_map" ADD CONSTRAINT "kept_map_site_id_logger_id_logger_site_id_logger_id_fk" FOREIGN KEY ("site_id","logger_id") REFERENCES "public"."logger"("site_id","logger_id") ON DELETE no action ON UPDATE no action;