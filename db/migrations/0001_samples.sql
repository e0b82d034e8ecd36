-- Samples stand outside the ORM: they go in and out by binary COPY only (db/samples). One column per numeric
-- channel, in the order of NUMERIC_CHANNELS; a new channel is a new column at the end. NULL is a missing value.
CREATE TABLE "sample" (
	"site_id" integer NOT NULL,
	"logger_id" integer NOT NULL,
	"at_ms" bigint NOT NULL,
	"load_l1_w" real,
	"load_l2_w" real,
	"load_w" real,
	"load_l1_va" real,
	"load_l2_va" real,
	"load_l1_a" real,
	"load_l2_a" real,
	"load_l1_v" real,
	"load_l2_v" real,
	"load_l1_peak_w" real,
	"load_l2_peak_w" real,
	"solar_w" real,
	"solar_1_w" real,
	"solar_2_w" real,
	"solar_3_w" real,
	"solar_4_w" real,
	"battery_a" real,
	"battery_v" real,
	"battery_w" real,
	"battery_soc_pct" real,
	"grid_l1_w" real,
	"grid_l2_w" real,
	"grid_l1_a" real,
	"grid_l2_a" real,
	"grid_w" real,
	"grid_v" real,
	"frequency_hz" real,
	"inverter_temp_c" real,
	"source" smallint,
	"fault" integer,
	CONSTRAINT "sample_pk" PRIMARY KEY ("site_id", "logger_id", "at_ms")
) PARTITION BY RANGE ("at_ms");
--> statement-breakpoint
-- The pieces of a log are compressed already.
ALTER TABLE "log_chunk" ALTER COLUMN "bytes" SET STORAGE EXTERNAL;
