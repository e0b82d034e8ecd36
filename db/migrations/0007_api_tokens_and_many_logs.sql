CREATE TABLE "api_token" (
	"site_id" integer NOT NULL,
	"token_id" integer GENERATED ALWAYS AS IDENTITY (sequence name "api_token_token_id_seq" INCREMENT BY 1 MINVALUE 1 MAXVALUE 2147483647 START WITH 1 CACHE 1),
	"name" text NOT NULL,
	"scope" text NOT NULL,
	"sha256" text NOT NULL,
	"created_at_ms" bigint DEFAULT (extract(epoch from clock_timestamp()) * 1000)::bigint NOT NULL,
	"last_used_at_ms" bigint,
	"revoked_at_ms" bigint,
	"allowance" double precision,
	"allowance_at_ms" bigint,
	CONSTRAINT "api_token_site_id_token_id_pk" PRIMARY KEY("site_id","token_id")
);
--> statement-breakpoint
CREATE UNIQUE INDEX "api_token_sha256" ON "api_token" USING btree ("sha256");--> statement-breakpoint
CREATE INDEX "job_of_log" ON "job" USING btree ("site_id",(payload ->> 'logId'),"job_id") WHERE kind <> 'recompute';--> statement-breakpoint
CREATE INDEX "log_position" ON "log" USING btree ("site_id","logger_id","position");--> statement-breakpoint
CREATE INDEX "log_first" ON "log" USING btree ("site_id","logger_id","first_ms") WHERE state = 'imported';--> statement-breakpoint
CREATE INDEX "log_end_stamps" ON "log" USING btree ("site_id","logger_id","shift_ms") WHERE state = 'imported' and column_map -> 'time' ->> 'stamps' = 'end';--> statement-breakpoint
CREATE INDEX "log_site_zone" ON "log" USING btree ("site_id","logger_id","site_zone") WHERE state = 'imported' and column_map -> 'time' ->> 'zone' = 'site';--> statement-breakpoint
CREATE INDEX "log_no_stamps" ON "log" USING btree ("site_id","logger_id") WHERE state = 'imported' and first_stamps_ms is null;