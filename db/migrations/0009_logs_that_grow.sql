CREATE TABLE "log_growth" (
	"site_id" integer NOT NULL,
	"log_id" integer NOT NULL,
	"file_id" text,
	"blocks" "bytea",
	"sha_state" "bytea",
	"read_bytes" bigint,
	"reading" "bytea",
	"tail_from_ms" bigint,
	CONSTRAINT "log_growth_site_id_log_id_pk" PRIMARY KEY("site_id","log_id")
);
--> statement-breakpoint
ALTER TABLE "log_growth" ADD CONSTRAINT "log_growth_site_id_log_id_log_site_id_log_id_fk" FOREIGN KEY ("site_id","log_id") REFERENCES "public"."log"("site_id","log_id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "log_growth_file" ON "log_growth" USING btree ("site_id","file_id");