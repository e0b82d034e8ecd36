ALTER TABLE "site" ADD COLUMN "changed_from_ms" bigint;--> statement-breakpoint
ALTER TABLE "site" ADD COLUMN "changed_to_ms" bigint;