CREATE TABLE "log_further" (
	"site_id" integer NOT NULL,
	"log_id" integer NOT NULL,
	"bytes" "bytea" NOT NULL,
	CONSTRAINT "log_further_site_id_log_id_pk" PRIMARY KEY("site_id","log_id")
);
--> statement-breakpoint
ALTER TABLE "log_further" ADD CONSTRAINT "log_further_site_id_log_id_log_site_id_log_id_fk" FOREIGN KEY ("site_id","log_id") REFERENCES "public"."log"("site_id","log_id") ON DELETE cascade ON UPDATE no action;