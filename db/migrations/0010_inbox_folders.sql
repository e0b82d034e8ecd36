CREATE TABLE "inbox" (
	"site_id" integer PRIMARY KEY NOT NULL,
	"folder" text NOT NULL
);
--> statement-breakpoint
ALTER TABLE "inbox" ADD CONSTRAINT "inbox_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE cascade ON UPDATE no action;