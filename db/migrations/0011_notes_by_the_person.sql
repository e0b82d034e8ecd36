CREATE TABLE "person_note" (
	"site_id" integer NOT NULL,
	"note_id" integer GENERATED ALWAYS AS IDENTITY (sequence name "person_note_note_id_seq" INCREMENT BY 1 MINVALUE 1 MAXVALUE 2147483647 START WITH 1 CACHE 1),
	"kind" text NOT NULL,
	"at_ms" bigint,
	"date" text,
	"is_change" boolean DEFAULT false NOT NULL,
	"text" text NOT NULL,
	"written_at_ms" bigint DEFAULT (extract(epoch from clock_timestamp()) * 1000)::bigint NOT NULL,
	"changed_at_ms" bigint,
	CONSTRAINT "person_note_site_id_note_id_pk" PRIMARY KEY("site_id","note_id"),
	CONSTRAINT "person_note_about" CHECK (("person_note"."kind" = 'day') = ("person_note"."date" is not null)),
	CONSTRAINT "person_note_event" CHECK (("person_note"."kind" <> 'day') = ("person_note"."at_ms" is not null)),
	CONSTRAINT "person_note_length" CHECK (char_length("person_note"."text") between 1 and 2000)
);
--> statement-breakpoint
ALTER TABLE "person_note" ADD CONSTRAINT "person_note_site_id_site_site_id_fk" FOREIGN KEY ("site_id") REFERENCES "public"."site"("site_id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "person_note_at" ON "person_note" USING btree ("site_id","at_ms");