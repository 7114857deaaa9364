BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0003');
CREATE TABLE batch (
	id INTEGER NOT NULL, 
	code TEXT NOT NULL, 
	what TEXT NOT NULL, 
	pieces INTEGER NOT NULL, 
	length_mm FLOAT, 
	width_mm FLOAT, 
	thickness_mm FLOAT, 
	shape TEXT NOT NULL, 
	schedule TEXT NOT NULL, 
	frozen_key TEXT NOT NULL, 
	place_id INTEGER NOT NULL, 
	wanted_by DATETIME, 
	priority INTEGER NOT NULL, 
	note TEXT NOT NULL, 
	created_at DATETIME NOT NULL, 
	closed_at DATETIME, 
	held BOOLEAN NOT NULL, 
	CONSTRAINT pk_batch PRIMARY KEY (id), 
	CONSTRAINT uq_batch_code UNIQUE (code), 
	CONSTRAINT ck_batch_ck_batch_pieces CHECK (pieces > 0), 
	CONSTRAINT fk_batch_frozen_key_frozen FOREIGN KEY(frozen_key) REFERENCES frozen ("key"), 
	CONSTRAINT fk_batch_place_id_place FOREIGN KEY(place_id) REFERENCES place (id)
);
INSERT INTO "batch" VALUES(1,'R-1','trays',4,300.0,200.0,18.0,'rectangle','wiped-varnish-four','8761a59f549b5db2de4f205f5fc167373e37a5c8a609077fe8f37b1130f57cfa',1,'2026-01-01 04:15:00.000000',0,'a gift','2025-11-24 16:15:00.000000',NULL,0);
INSERT INTO "batch" VALUES(2,'R-2','trays',4,300.0,200.0,18.0,'rectangle','wiped-varnish-four','8761a59f549b5db2de4f205f5fc167373e37a5c8a609077fe8f37b1130f57cfa',1,'2026-01-01 04:15:00.000000',0,'a gift','2025-11-24 16:15:00.000000','2025-11-24 20:15:00.000000',0);
CREATE TABLE batch_wood (
	batch_id INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	species TEXT NOT NULL, 
	share FLOAT NOT NULL, 
	CONSTRAINT pk_batch_wood PRIMARY KEY (batch_id, position), 
	CONSTRAINT fk_batch_wood_batch_id_batch FOREIGN KEY(batch_id) REFERENCES batch (id)
);
INSERT INTO "batch_wood" VALUES(1,0,'hard maple',0.8);
INSERT INTO "batch_wood" VALUES(1,1,'padauk',0.2);
INSERT INTO "batch_wood" VALUES(2,0,'hard maple',0.8);
INSERT INTO "batch_wood" VALUES(2,1,'padauk',0.2);
CREATE TABLE can (
	id INTEGER NOT NULL, 
	finish TEXT NOT NULL, 
	lot TEXT NOT NULL, 
	volume_ml FLOAT NOT NULL, 
	price FLOAT, 
	bought_on DATE, 
	opened_on DATE, 
	use_within_days INTEGER, 
	note TEXT NOT NULL, 
	created_at DATETIME NOT NULL, 
	emptied_at DATETIME, 
	CONSTRAINT pk_can PRIMARY KEY (id), 
	CONSTRAINT ck_can_ck_can_volume CHECK (volume_ml > 0)
);
INSERT INTO "can" VALUES(1,'wiping-varnish','W7',500.0,24.0,'2025-11-24','2025-11-24',NULL,'','2025-11-24 16:15:00.000000',NULL);
CREATE TABLE entry (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	batch_id INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	at DATETIME NOT NULL, 
	recorded_at DATETIME NOT NULL, 
	step INTEGER, 
	body TEXT NOT NULL, 
	voids INTEGER, 
	maker TEXT NOT NULL, 
	can_id INTEGER, 
	amount_ml FLOAT, 
	CONSTRAINT fk_entry_batch_id_batch FOREIGN KEY(batch_id) REFERENCES batch (id), 
	CONSTRAINT fk_entry_voids_entry FOREIGN KEY(voids) REFERENCES entry (id), 
	CONSTRAINT fk_entry_can_id_can FOREIGN KEY(can_id) REFERENCES can (id)
);
INSERT INTO "entry" VALUES(1,1,'step','2025-11-24 16:15:00.000000','2025-11-24 16:15:00.000000',0,'{}',NULL,'Åse',NULL,NULL);
INSERT INTO "entry" VALUES(2,1,'coat','2025-11-24 17:15:00.000000','2025-11-24 17:15:00.000000',1,'{"wiped_back":true}',NULL,'Åse',1,55.0);
INSERT INTO "entry" VALUES(3,1,'test','2025-11-24 19:15:00.000000','2025-11-24 19:15:00.000000',NULL,'{"face":"both","finding":"tacky","stage":"dry_to_touch"}',NULL,'Åse',NULL,NULL);
INSERT INTO "entry" VALUES(4,1,'note','2025-11-24 19:15:00.000000','2025-11-24 19:15:00.000000',NULL,'{"text":"a ''quoted'' note;\nof two lines ✓"}',NULL,'Åse',NULL,NULL);
INSERT INTO "entry" VALUES(5,1,'void','2025-11-24 20:15:00.000000','2025-11-24 20:15:00.000000',NULL,'{}',4,'Åse',NULL,NULL);
INSERT INTO "entry" VALUES(6,2,'close','2025-11-24 20:15:00.000000','2025-11-24 20:15:00.000000',NULL,'{}',NULL,'Åse',NULL,NULL);
CREATE TABLE frozen (
	"key" TEXT NOT NULL, 
	body TEXT NOT NULL, 
	CONSTRAINT pk_frozen PRIMARY KEY ("key")
);
INSERT INTO "frozen" VALUES('8761a59f549b5db2de4f205f5fc167373e37a5c8a609077fe8f37b1130f57cfa','{"classes":{"rows":[{"evidence":"estimate","extractives":"none","high":1.0,"low":1.0,"mechanism":"evaporation","never_bare":0.0,"source":"structured guess: from memory, low confidence; adhesion and running colour are the greater trouble here","spread":0.05,"typical":1.0},{"evidence":"estimate","extractives":"low","high":1.0,"low":1.0,"mechanism":"evaporation","never_bare":0.0,"source":"structured guess: from memory, low confidence; adhesion and running colour are the greater trouble here","spread":0.05,"typical":1.0},{"evidence":"estimate","extractives":"moderate","high":1.1,"low":1.0,"mechanism":"evaporation","never_bare":0.0,"source":"structured guess: from memory, low confidence; adhesion and running colour are the greater trouble here","spread":0.1,"typical":1.05},{"evidence":"estimate","extractives":"high","high":1.3,"low":1.0,"mechanism":"evaporation","never_bare":0.0,"source":"structured guess: from memory, low confidence; adhesion and running colour are the greater trouble here","spread":0.15,"typical":1.1},{"evidence":"estimate","extractives":"none","high":1.0,"low":1.0,"mechanism":"oxidation","never_bare":0.0,"source":"structured guess: the direction is well attested (extractives of heartwood hold up oxidation: J. Wood Sci. note BF00770708, abstract), the size is not measured","spread":0.1,"typical":1.0},{"evidence":"estimate","extractives":"low","high":1.3,"low":1.0,"mechanism":"oxidation","never_bare":0.01,"source":"structured guess: the direction is well attested (extractives of heartwood hold up oxidation: J. Wood Sci. note BF00770708, abstract), the size is not measured","spread":0.15,"typical":1.1},{"evidence":"estimate","extractives":"moderate","high":3.0,"low":1.2,"mechanism":"oxidation","never_bare":0.08,"source":"structured guess: the direction is well attested (extractives of heartwood hold up oxidation: J. Wood Sci. note BF00770708, abstract), the size is not measured","spread":0.35,"typical":1.6},{"evidence":"estimate","extractives":"high","high":10.0,"low":1.5,"mechanism":"oxidation","never_bare":0.3,"source":"structured guess: the direction is well attested (extractives of heartwood hold up oxidation: J. Wood Sci. note BF00770708, abstract), the size is not measured","spread":0.6,"typical":3.0},{"evidence":"estimate","extractives":"none","high":1.0,"low":1.0,"mechanism":"coalescence","never_bare":0.0,"source":"structured guess: from memory, low confidence; adhesion and running colour are the greater trouble here","spread":0.05,"typical":1.0},{"evidence":"estimate","extractives":"low","high":1.0,"low":1.0,"mechanism":"coalescence","never_bare":0.0,"source":"structured guess: from memory, low confidence; adhesion and running colour are the greater trouble here","spread":0.05,"typical":1.0},{"evidence":"estimate","extractives":"moderate","high":1.2,"low":1.0,"mechanism":"coalescence","never_bare":0.0,"source":"structured guess: from memory, low confidence; adhesion and running colour are the greater trouble here","spread":0.1,"typical":1.05},{"evidence":"estimate","extractives":"high","high":1.5,"low":1.0,"mechanism":"coalescence","never_bare":0.0,"source":"structured guess: from memory, low confidence; adhesion and running colour are the greater trouble here","spread":0.15,"typical":1.15},{"evidence":"estimate","extractives":"none","high":1.0,"low":1.0,"mechanism":"two_part","never_bare":0.0,"source":"structured guess: from memory, low confidence; adhesion and running colour are the greater trouble here","spread":0.05,"typical":1.0},{"evidence":"estimate","extractives":"low","high":1.0,"low":1.0,"mechanism":"two_part","never_bare":0.0,"source":"structured guess: from memory, low confidence; adhesion and running colour are the greater trouble here","spread":0.05,"typical":1.0},{"evidence":"estimate","extractives":"moderate","high":1.3,"low":1.0,"mechanism":"two_part","never_bare":0.0,"source":"structured guess: from memory, low confidence; adhesion and running colour are the greater trouble here","spread":0.1,"typical":1.1},{"evidence":"estimate","extractives":"high","high":2.0,"low":1.0,"mechanism":"two_part","never_bare":0.0,"source":"structured guess: from memory, low confidence; adhesion and running colour are the greater trouble here","spread":0.15,"typical":1.25},{"evidence":"estimate","extractives":"none","high":1.0,"low":1.0,"mechanism":"moisture","never_bare":0.0,"source":"structured guess: taken to be as for two-part finishes","spread":0.05,"typical":1.0},{"evidence":"estimate","extractives":"low","high":1.0,"low":1.0,"mechanism":"moisture","never_bare":0.0,"source":"structured guess: taken to be as for two-part finishes","spread":0.05,"typical":1.0},{"evidence":"estimate","extractives":"moderate","high":1.3,"low":1.0,"mechanism":"moisture","never_bare":0.0,"source":"structured guess: taken to be as for two-part finishes","spread":0.1,"typical":1.1},{"evidence":"estimate","extractives":"high","high":2.0,"low":1.0,"mechanism":"moisture","never_bare":0.0,"source":"structured guess: taken to be as for two-part finishes","spread":0.15,"typical":1.25},{"evidence":"estimate","extractives":"none","high":1.0,"low":1.0,"mechanism":"none","never_bare":0.0,"source":"nothing hardens, so nothing is held up","spread":0.05,"typical":1.0},{"evidence":"estimate","extractives":"low","high":1.0,"low":1.0,"mechanism":"none","never_bare":0.0,"source":"nothing hardens, so nothing is held up","spread":0.05,"typical":1.0},{"evidence":"estimate","extractives":"moderate","high":1.0,"low":1.0,"mechanism":"none","never_bare":0.0,"source":"nothing hardens, so nothing is held up","spread":0.05,"typical":1.0},{"evidence":"estimate","extractives":"high","high":1.0,"low":1.0,"mechanism":"none","never_bare":0.0,"source":"nothing hardens, so nothing is held up","spread":0.05,"typical":1.0}]},"finishes":{"wiping-varnish":{"barrier":false,"care":{"reoil_months":null,"words":"Hand-wash with a damp cloth and dry it straight away. Keep hot and wet things off until the date on the card. Worn spots take another thin coat after a light sanding."},"clocks":{"cure":{"activation_energy_kj_mol":50.0,"evidence":"estimate","humidity":"slows_oxidation","max_rate":null,"source":"estimate: no published value for a finish with driers was found; 50 kJ/mol halves the time for every 10 °C, which is common practice"},"flash":{"activation_energy_kj_mol":40.0,"evidence":"estimate","humidity":"none","max_rate":null,"source":"from memory: the heat of vaporisation of the solvents used, 38 to 51 kJ/mol at 25 °C, bounds it from above"}},"family":"wiping varnish","film":{"evidence":"common practice","first_m2_per_l":20.0,"later_m2_per_l":25.0,"law":"diffusion","source":"from memory, medium confidence; thinned by about half; the low end of the spreading rate for bare wood","volume_solids_pct":21.0},"hazards":["oily_rags","solvent_vapour","food_before_cure"],"limits":{"blush_drop_c":null,"cap_c":35.0,"evidence":"read in a standard","maximum_humidity_pct":null,"minimum_c":4.0,"minimum_humidity_pct":null,"source":"minimum: USDA Wood Handbook, ch. 16 and UFC 3-190-06, 7.4.1 (40 °F for oil and alkyd finishes); humidity from memory","stops":false,"warn_humidity_pct":80.0},"mechanism":"oxidation","name":"wiping-varnish","notes":["Thin coats: it takes about three to do what one brushed coat does.","Not for a face that is cut on."],"pot_life_hours":null,"protection":3,"recoat_limit":{"clock":"cure","evidence":"common practice","grit":320,"high":48.0,"instructions":"Abrade to an even dull surface with P320, vacuum, wipe with mineral spirits and let it flash off, then coat.","low":12.0,"source":"from memory, medium confidence","typical":24.0},"reference":{"humidity_pct":50.0,"temperature_c":21.0},"repeat":0.25,"spread":0.5,"stages":{"cured":{"clock":"cure","evidence":"common practice","high":720.0,"low":168.0,"source":"from memory, medium confidence","typical":504.0},"dry_to_handle":{"clock":"cure","evidence":"common practice","high":36.0,"low":6.0,"source":"from memory, medium confidence","typical":12.0},"dry_to_recoat":{"clock":"cure","evidence":"common practice","high":12.0,"low":3.0,"source":"from memory, medium confidence","typical":6.0},"dry_to_touch":{"clock":"flash","evidence":"common practice","high":5.0,"low":0.75,"source":"from memory, medium confidence","typical":2.0},"dust_free":{"clock":"flash","evidence":"common practice","high":2.0,"low":0.25,"source":"from memory, medium confidence","typical":0.75},"stackable":{"clock":"cure","evidence":"common practice","high":240.0,"low":48.0,"source":"from memory, medium confidence","typical":96.0},"tack_free":{"clock":"flash","evidence":"estimate","high":3.2,"low":0.4,"source":"an estimate between dust-free and dry to touch: no figure of its own was found","typical":1.2}},"summary":"Varnish thinned to be wiped on and off: thin coats, few dust marks, both faces at once on points.","title":"Wiping varnish, oil-modified urethane","upkeep":1,"wipe":{"evidence":"common practice","from_minutes":1.0,"source":"from memory, medium confidence","to_minutes":10.0}}},"schedule":{"name":"wiped-varnish-four","notes":["Rags into the water can or flat outdoors before anything else is done.","Dust is what ruins it: vacuum, wait ten minutes, then coat.","Keep food, heat and wet off until it has cured through."],"steps":[{"after":null,"face":"both","finish":null,"grit":220,"hours":null,"kind":"prepare","minutes_per_piece":9.0,"note":"P120, P180, then P220 with the grain; round the edges a little; vacuum.","setup_minutes":5.0},{"after":null,"face":"both","finish":"wiping-varnish","grit":null,"hours":null,"kind":"coat","minutes_per_piece":2.5,"note":"Both faces at once, then stand it on points.","setup_minutes":5.0},{"after":null,"face":"both","finish":null,"grit":null,"hours":null,"kind":"wipe","minutes_per_piece":1.0,"note":"One long stroke with a clean cloth; leave a thin, even film.","setup_minutes":0.0},{"after":null,"face":"both","finish":null,"grit":320,"hours":null,"kind":"abrade","minutes_per_piece":1.5,"note":"P320 or a grey nylon pad, until evenly dull; vacuum.","setup_minutes":2.0},{"after":null,"face":"both","finish":"wiping-varnish","grit":null,"hours":null,"kind":"coat","minutes_per_piece":2.5,"note":"Both faces at once, then stand it on points.","setup_minutes":5.0},{"after":null,"face":"both","finish":null,"grit":null,"hours":null,"kind":"wipe","minutes_per_piece":1.0,"note":"One long stroke with a clean cloth; leave a thin, even film.","setup_minutes":0.0},{"after":null,"face":"both","finish":null,"grit":320,"hours":null,"kind":"abrade","minutes_per_piece":1.5,"note":"P320 or a grey nylon pad, until evenly dull; vacuum.","setup_minutes":2.0},{"after":null,"face":"both","finish":"wiping-varnish","grit":null,"hours":null,"kind":"coat","minutes_per_piece":2.5,"note":"Both faces at once, then stand it on points.","setup_minutes":5.0},{"after":null,"face":"both","finish":null,"grit":null,"hours":null,"kind":"wipe","minutes_per_piece":1.0,"note":"One long stroke with a clean cloth; leave a thin, even film.","setup_minutes":0.0},{"after":null,"face":"both","finish":null,"grit":320,"hours":null,"kind":"abrade","minutes_per_piece":1.5,"note":"P320 or a grey nylon pad, until evenly dull; vacuum.","setup_minutes":2.0},{"after":null,"face":"both","finish":"wiping-varnish","grit":null,"hours":null,"kind":"coat","minutes_per_piece":2.5,"note":"Both faces at once, then stand it on points.","setup_minutes":5.0},{"after":null,"face":"both","finish":null,"grit":null,"hours":null,"kind":"wipe","minutes_per_piece":1.0,"note":"One long stroke with a clean cloth; leave a thin, even film.","setup_minutes":0.0},{"after":"cured","face":"both","finish":null,"grit":null,"hours":null,"kind":"rest","minutes_per_piece":0.0,"note":"","setup_minutes":0.0}],"suits":"Trays, boxes and coasters of plain woods.","summary":"Four thin coats wiped on both faces at once, on points.","title":"Wiping varnish, four coats"},"woods":[{"aliases":["maple","sugar maple","rock maple"],"bleeds":"","botanical":"Acer saccharum","cautions":["takes finish in blotches: a thin sealer coat evens it out"],"dust":["irritant"],"evidence":"estimate","extractives":"none","factors":{},"name":"hard maple","open_pores":false,"pores":"diffuse-porous","source":"structured guess: class from trade practice, no measured multiplier exists","trade_listed":""},{"aliases":["African padauk","padouk","African padouk"],"bleeds":"red","botanical":"Pterocarpus soyauxii","cautions":["vacuum, do not wipe, next to light strips: the dust stains"],"dust":["irritant","asthma"],"evidence":"estimate","extractives":"moderate","factors":{"oxidation":1.8},"name":"padauk","open_pores":true,"pores":"diffuse-porous","source":"structured guess: class from trade practice, no measured multiplier exists; extractives up to 27 %: Wood Sci. Technol. 48 (2014) 1155 (abstract)","trade_listed":"CITES Appendix II"}]}');
CREATE TABLE leaving (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	place_id INTEGER NOT NULL, 
	file_name TEXT NOT NULL, 
	first_at BIGINT NOT NULL, 
	last_at BIGINT NOT NULL, 
	readings INTEGER NOT NULL, 
	voids INTEGER, 
	recorded_at DATETIME NOT NULL, 
	maker TEXT NOT NULL, 
	note TEXT NOT NULL, 
	CONSTRAINT fk_leaving_place_id_place FOREIGN KEY(place_id) REFERENCES place (id), 
	CONSTRAINT fk_leaving_voids_leaving FOREIGN KEY(voids) REFERENCES leaving (id)
);
INSERT INTO "leaving" VALUES(1,1,'',1763000000,1763003000,6,NULL,'2025-11-24 16:15:00.000000','','in the sun');
INSERT INTO "leaving" VALUES(2,1,'log.csv',1763010200,1763012000,4,NULL,'2025-11-24 16:15:00.000000','Åse','');
INSERT INTO "leaving" VALUES(3,1,'',1763010200,1763012000,4,2,'2025-11-24 16:15:00.000000','','');
CREATE TABLE left_reading (
	place_id INTEGER NOT NULL, 
	at BIGINT NOT NULL, 
	leaving_id INTEGER NOT NULL, 
	temperature_c FLOAT NOT NULL, 
	humidity_pct FLOAT, 
	CONSTRAINT pk_left_reading PRIMARY KEY (place_id, at, leaving_id), 
	CONSTRAINT fk_left_reading_place_id_place FOREIGN KEY(place_id) REFERENCES place (id), 
	CONSTRAINT fk_left_reading_leaving_id_leaving FOREIGN KEY(leaving_id) REFERENCES leaving (id)
)
 WITHOUT ROWID

;
INSERT INTO "left_reading" VALUES(1,1763000000,1,18.6,51.5);
INSERT INTO "left_reading" VALUES(1,1763000600,1,18.4,51.5);
INSERT INTO "left_reading" VALUES(1,1763001200,1,18.2,51.5);
INSERT INTO "left_reading" VALUES(1,1763001800,1,18.0,51.5);
INSERT INTO "left_reading" VALUES(1,1763002400,1,18.5,51.5);
INSERT INTO "left_reading" VALUES(1,1763003000,1,18.3,51.5);
INSERT INTO "left_reading" VALUES(1,1763010200,2,18.0,51.5);
INSERT INTO "left_reading" VALUES(1,1763010800,2,18.5,51.5);
INSERT INTO "left_reading" VALUES(1,1763011400,2,18.3,51.5);
INSERT INTO "left_reading" VALUES(1,1763012000,2,18.1,51.5);
CREATE TABLE lesson (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	kind TEXT NOT NULL, 
	finish TEXT NOT NULL, 
	entry_id INTEGER, 
	voids INTEGER, 
	at DATETIME NOT NULL, 
	recorded_at DATETIME NOT NULL, 
	maker TEXT NOT NULL, 
	note TEXT NOT NULL, 
	CONSTRAINT fk_lesson_entry_id_entry FOREIGN KEY(entry_id) REFERENCES entry (id), 
	CONSTRAINT fk_lesson_voids_lesson FOREIGN KEY(voids) REFERENCES lesson (id)
);
INSERT INTO "lesson" VALUES(1,'exclude','wiping-varnish',3,NULL,'2025-11-24 16:15:00.000000','2025-11-24 16:15:00.000000','','felt the wrong tray');
CREATE TABLE log_import (
	id INTEGER NOT NULL, 
	place_id INTEGER NOT NULL, 
	file_name TEXT NOT NULL, 
	sha256 TEXT NOT NULL, 
	rows INTEGER NOT NULL, 
	added INTEGER NOT NULL, 
	imported_at DATETIME NOT NULL, 
	CONSTRAINT pk_log_import PRIMARY KEY (id), 
	CONSTRAINT fk_log_import_place_id_place FOREIGN KEY(place_id) REFERENCES place (id)
);
INSERT INTO "log_import" VALUES(1,1,'log.csv','0000000000000000000000000000000000000000000000000000000000000000',50,50,'2025-11-24 16:15:00.000000');
CREATE TABLE outlook_day (
	id INTEGER NOT NULL, 
	place_id INTEGER NOT NULL, 
	date DATE NOT NULL, 
	low_c FLOAT NOT NULL, 
	high_c FLOAT NOT NULL, 
	humidity_pct FLOAT, 
	entered_at DATETIME NOT NULL, 
	CONSTRAINT pk_outlook_day PRIMARY KEY (id), 
	CONSTRAINT fk_outlook_day_place_id_place FOREIGN KEY(place_id) REFERENCES place (id)
);
INSERT INTO "outlook_day" VALUES(1,1,'2025-11-25',3.0,12.0,70.0,'2025-11-24 16:15:00.000000');
CREATE TABLE place (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	name_key TEXT NOT NULL, 
	rack_pieces INTEGER, 
	created_at DATETIME NOT NULL, 
	CONSTRAINT pk_place PRIMARY KEY (id), 
	CONSTRAINT uq_place_name_key UNIQUE (name_key)
);
INSERT INTO "place" VALUES(1,'løft','løft',40,'2025-11-24 16:15:00.000000');
CREATE TABLE place_usual (
	id INTEGER NOT NULL, 
	place_id INTEGER NOT NULL, 
	low_c FLOAT NOT NULL, 
	high_c FLOAT NOT NULL, 
	humidity_at_low FLOAT NOT NULL, 
	humidity_at_high FLOAT NOT NULL, 
	entered_at DATETIME NOT NULL, 
	CONSTRAINT pk_place_usual PRIMARY KEY (id), 
	CONSTRAINT fk_place_usual_place_id_place FOREIGN KEY(place_id) REFERENCES place (id)
);
INSERT INTO "place_usual" VALUES(1,1,18.0,22.0,55.0,45.0,'2025-11-24 16:15:00.000000');
CREATE TABLE reading (
	place_id INTEGER NOT NULL, 
	at BIGINT NOT NULL, 
	temperature_c FLOAT NOT NULL, 
	humidity_pct FLOAT, 
	CONSTRAINT pk_reading PRIMARY KEY (place_id, at), 
	CONSTRAINT fk_reading_place_id_place FOREIGN KEY(place_id) REFERENCES place (id)
)
 WITHOUT ROWID

;
INSERT INTO "reading" VALUES(1,1763003600,18.1,51.5);
INSERT INTO "reading" VALUES(1,1763004200,18.6,51.5);
INSERT INTO "reading" VALUES(1,1763004800,18.4,51.5);
INSERT INTO "reading" VALUES(1,1763005400,18.2,51.5);
INSERT INTO "reading" VALUES(1,1763006000,18.0,51.5);
INSERT INTO "reading" VALUES(1,1763006600,18.5,51.5);
INSERT INTO "reading" VALUES(1,1763007200,18.3,51.5);
INSERT INTO "reading" VALUES(1,1763007800,18.1,51.5);
INSERT INTO "reading" VALUES(1,1763008400,18.6,51.5);
INSERT INTO "reading" VALUES(1,1763009000,18.4,51.5);
INSERT INTO "reading" VALUES(1,1763009600,18.2,51.5);
INSERT INTO "reading" VALUES(1,1763010200,18.0,51.5);
INSERT INTO "reading" VALUES(1,1763010800,18.5,51.5);
INSERT INTO "reading" VALUES(1,1763011400,18.3,51.5);
INSERT INTO "reading" VALUES(1,1763012000,18.1,51.5);
INSERT INTO "reading" VALUES(1,1763012600,18.6,51.5);
INSERT INTO "reading" VALUES(1,1763013200,18.4,51.5);
INSERT INTO "reading" VALUES(1,1763013800,18.2,51.5);
INSERT INTO "reading" VALUES(1,1763014400,18.0,51.5);
INSERT INTO "reading" VALUES(1,1763015000,18.5,51.5);
INSERT INTO "reading" VALUES(1,1763015600,18.3,51.5);
INSERT INTO "reading" VALUES(1,1763016200,18.1,51.5);
INSERT INTO "reading" VALUES(1,1763016800,18.6,51.5);
INSERT INTO "reading" VALUES(1,1763017400,18.4,51.5);
INSERT INTO "reading" VALUES(1,1763018000,18.2,51.5);
INSERT INTO "reading" VALUES(1,1763018600,18.0,51.5);
INSERT INTO "reading" VALUES(1,1763019200,18.5,51.5);
INSERT INTO "reading" VALUES(1,1763019800,18.3,51.5);
INSERT INTO "reading" VALUES(1,1763020400,18.1,51.5);
INSERT INTO "reading" VALUES(1,1763021000,18.6,51.5);
INSERT INTO "reading" VALUES(1,1763021600,18.4,51.5);
INSERT INTO "reading" VALUES(1,1763022200,18.2,51.5);
INSERT INTO "reading" VALUES(1,1763022800,18.0,51.5);
INSERT INTO "reading" VALUES(1,1763023400,18.5,51.5);
INSERT INTO "reading" VALUES(1,1763024000,18.3,51.5);
INSERT INTO "reading" VALUES(1,1763024600,18.1,51.5);
INSERT INTO "reading" VALUES(1,1763025200,18.6,51.5);
INSERT INTO "reading" VALUES(1,1763025800,18.4,51.5);
INSERT INTO "reading" VALUES(1,1763026400,18.2,51.5);
INSERT INTO "reading" VALUES(1,1763027000,18.0,51.5);
INSERT INTO "reading" VALUES(1,1763027600,18.5,51.5);
INSERT INTO "reading" VALUES(1,1763028200,18.3,51.5);
INSERT INTO "reading" VALUES(1,1763028800,18.1,51.5);
INSERT INTO "reading" VALUES(1,1763029400,18.6,51.5);
CREATE TABLE setting (
	"key" TEXT NOT NULL, 
	value TEXT NOT NULL, 
	updated_at DATETIME NOT NULL, 
	CONSTRAINT pk_setting PRIMARY KEY ("key")
);
INSERT INTO "setting" VALUES('zone','"Europe/Oslo"','2025-11-24 16:15:00.000000');
INSERT INTO "setting" VALUES('maker','"Åse"','2025-11-24 16:15:00.000000');
INSERT INTO "setting" VALUES('guide:R-1','{"format":1,"plan":{"amount_ml":22.080000000000002,"apply_minutes":2.5,"pot_life_hours":null,"rags":true,"setup_minutes":5.0,"sizes":[4],"wipe_from":1.0,"wipe_minutes":1.0,"wipe_until":10.0},"position":4,"presses":[["start",490030.25]]}','2025-11-25 22:15:00.000000');
CREATE INDEX ix_place_usual_place_id_id ON place_usual (place_id, id);
CREATE INDEX ix_outlook_day_place_id_date_id ON outlook_day (place_id, date, id);
CREATE INDEX ix_log_import_place_id ON log_import (place_id);
CREATE INDEX ix_log_import_sha256 ON log_import (sha256);
CREATE INDEX ix_batch_closed_at ON batch (closed_at);
CREATE INDEX ix_batch_frozen_key ON batch (frozen_key);
CREATE INDEX ix_batch_place_id ON batch (place_id);
CREATE INDEX ix_batch_open ON batch (code) WHERE closed_at IS NULL;
CREATE INDEX ix_can_finish_emptied_at ON can (finish, emptied_at);
CREATE INDEX ix_can_lot ON can (lot);
CREATE INDEX ix_entry_batch_id ON entry (batch_id);
CREATE INDEX ix_entry_kind_batch_id ON entry (kind, batch_id);
CREATE INDEX ix_entry_voids ON entry (voids);
CREATE INDEX ix_entry_can_id ON entry (can_id);
CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER entry_no_delete BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER frozen_no_update BEFORE UPDATE ON frozen BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER frozen_no_delete BEFORE DELETE ON frozen BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER reading_no_update BEFORE UPDATE ON reading BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER place_usual_no_update BEFORE UPDATE ON place_usual BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER place_usual_no_delete BEFORE DELETE ON place_usual BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER outlook_day_no_update BEFORE UPDATE ON outlook_day BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER outlook_day_no_delete BEFORE DELETE ON outlook_day BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE INDEX ix_lesson_entry_id ON lesson (entry_id);
CREATE INDEX ix_lesson_voids ON lesson (voids);
CREATE TRIGGER lesson_no_update BEFORE UPDATE ON lesson BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER lesson_no_delete BEFORE DELETE ON lesson BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE INDEX ix_leaving_place_id ON leaving (place_id);
CREATE INDEX ix_leaving_voids ON leaving (voids);
CREATE TRIGGER leaving_no_update BEFORE UPDATE ON leaving BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER leaving_no_delete BEFORE DELETE ON leaving BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER left_reading_no_update BEFORE UPDATE ON left_reading BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER left_reading_no_delete BEFORE DELETE ON left_reading BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER reading_no_delete BEFORE DELETE ON reading WHEN NOT EXISTS (SELECT 1 FROM left_reading l WHERE l.place_id = OLD.place_id AND l.at = OLD.at AND l.temperature_c = OLD.temperature_c AND l.humidity_pct IS OLD.humidity_pct AND NOT EXISTS (SELECT 1 FROM leaving v WHERE v.voids = l.leaving_id)) BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('entry',6);
INSERT INTO "sqlite_sequence" VALUES('leaving',3);
INSERT INTO "sqlite_sequence" VALUES('lesson',1);
COMMIT;
