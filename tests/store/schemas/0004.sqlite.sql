BEGIN TRANSACTION;
CREATE TABLE addendum (
	id VARCHAR(36) NOT NULL, 
	note_id VARCHAR(36) NOT NULL, 
	"by" VARCHAR(200) NOT NULL, 
	at DATETIME NOT NULL, 
	text TEXT NOT NULL, 
	CONSTRAINT pk_addendum PRIMARY KEY (id), 
	CONSTRAINT fk_addendum_note_id_signed_note FOREIGN KEY(note_id) REFERENCES signed_note (id)
);
INSERT INTO "addendum" VALUES('fbe2b48c-897d-4dea-9de8-b0a91a94d579','8a62495e-64c8-488b-8289-7c6acb90449c','A. Therapist','2026-11-25 09:00:34.000000','Letter sent.');
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0004');
CREATE TABLE audit (
	number INTEGER NOT NULL, 
	at DATETIME NOT NULL, 
	who VARCHAR(200) NOT NULL, 
	act VARCHAR(40) NOT NULL, 
	person_id VARCHAR(36), 
	visit_id VARCHAR(36), 
	detail TEXT NOT NULL, 
	CONSTRAINT pk_audit PRIMARY KEY (number)
);
INSERT INTO "audit" VALUES(1,'2026-11-25 09:00:01.000000','therapist','import case','67403327-fe1c-4d00-809a-10e65f2c0fb6','cdae520e-7cb5-442f-8fd7-9a7114342a01','');
INSERT INTO "audit" VALUES(2,'2026-11-25 09:00:03.000000','therapist','new person','ffc96d04-3dd0-496a-ac13-86a374a97505',NULL,'');
INSERT INTO "audit" VALUES(3,'2026-11-25 09:00:05.000000','therapist','open episode','ffc96d04-3dd0-496a-ac13-86a374a97505',NULL,'');
INSERT INTO "audit" VALUES(4,'2026-11-25 09:00:07.000000','therapist','open visit','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','');
INSERT INTO "audit" VALUES(5,'2026-11-25 09:00:08.000000','therapist','screen','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','');
INSERT INTO "audit" VALUES(6,'2026-11-25 09:00:10.000000','therapist','screen','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','');
INSERT INTO "audit" VALUES(7,'2026-11-25 09:00:12.000000','therapist','record finding','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','gh_post');
INSERT INTO "audit" VALUES(8,'2026-11-25 09:00:14.000000','therapist','record finding','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','gh_post');
INSERT INTO "audit" VALUES(9,'2026-11-25 09:00:16.000000','therapist','record finding','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','gh_inf');
INSERT INTO "audit" VALUES(10,'2026-11-25 09:00:18.000000','therapist','undo','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','');
INSERT INTO "audit" VALUES(11,'2026-11-25 09:00:20.000000','therapist','redo','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','');
INSERT INTO "audit" VALUES(12,'2026-11-25 09:00:22.000000','therapist','record finding','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','gh_ant');
INSERT INTO "audit" VALUES(13,'2026-11-25 09:00:24.000000','therapist','undo','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','');
INSERT INTO "audit" VALUES(14,'2026-11-25 09:00:26.000000','therapist','override','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','A known lipoma, seen last week.');
INSERT INTO "audit" VALUES(15,'2026-11-25 09:00:28.000000','therapist','record treatment','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','posterior glide');
INSERT INTO "audit" VALUES(16,'2026-11-25 09:00:30.000000','therapist','record retest','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','gh_post');
INSERT INTO "audit" VALUES(17,'2026-11-25 09:00:33.000000','therapist','sign note','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','');
INSERT INTO "audit" VALUES(18,'2026-11-25 09:00:35.000000','therapist','addendum','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','');
INSERT INTO "audit" VALUES(19,'2026-11-25 15:17:15.259574','therapist','list people',NULL,NULL,'2 people');
INSERT INTO "audit" VALUES(20,'2026-11-25 15:17:15.304212','therapist','view visit','ffc96d04-3dd0-496a-ac13-86a374a97505','aadce219-c09a-427c-a14d-a15d0eb1f0cc','');
INSERT INTO "audit" VALUES(21,'2026-11-25 15:17:15.532130','therapist','view visit','67403327-fe1c-4d00-809a-10e65f2c0fb6','cdae520e-7cb5-442f-8fd7-9a7114342a01','');
INSERT INTO "audit" VALUES(22,'2026-11-25 15:17:15.815098','therapist','turn','67403327-fe1c-4d00-809a-10e65f2c0fb6','cdae520e-7cb5-442f-8fd7-9a7114342a01','side_lying');
CREATE TABLE "entry" (
	id VARCHAR(36) NOT NULL, 
	visit_id VARCHAR(36) NOT NULL, 
	sequence INTEGER NOT NULL, 
	kind VARCHAR(12) NOT NULL, 
	recorded_at DATETIME NOT NULL, 
	supersedes VARCHAR(36), 
	retracts VARCHAR(36), 
	procedure VARCHAR(60), 
	side VARCHAR(5), 
	level VARCHAR(4), 
	mobility INTEGER, 
	end_feel VARCHAR(20), 
	value DOUBLE, 
	unit VARCHAR(8), 
	other DOUBLE, 
	pain DOUBLE, 
	pain_onset DOUBLE, 
	resistance_onset DOUBLE, 
	familiar BOOLEAN, 
	result VARCHAR(12), 
	apprehension BOOLEAN, 
	strength INTEGER, 
	note TEXT, 
	technique TEXT, 
	dose TEXT, 
	CONSTRAINT pk_entry PRIMARY KEY (id), 
	CONSTRAINT fk_entry_supersedes_entry FOREIGN KEY(supersedes) REFERENCES entry (id), 
	CONSTRAINT uq_entry_visit_id_sequence UNIQUE (visit_id, sequence), 
	CONSTRAINT ck_entry_end_feel CHECK (end_feel IS NULL OR end_feel IN ('soft_apposition', 'firm_capsular', 'firm_muscular', 'firm_ligament', 'hard_bone', 'spasm', 'empty', 'springy_block', 'loose', 'boggy', 'early_capsular')), 
	CONSTRAINT ck_entry_pain CHECK (pain IS NULL OR (pain >= 0 AND pain <= 10)), 
	CONSTRAINT fk_entry_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id) ON DELETE CASCADE, 
	CONSTRAINT ck_entry_kind CHECK (kind IS NULL OR kind IN ('finding', 'retest', 'treatment', 'retraction')), 
	CONSTRAINT ck_entry_shape CHECK ((kind = 'retraction') = (retracts IS NOT NULL) AND (kind = 'treatment') = (technique IS NOT NULL) AND (kind IN ('finding', 'retest')) = (procedure IS NOT NULL)), 
	CONSTRAINT ck_entry_mobility CHECK (mobility IS NULL OR (mobility >= 0 AND mobility <= 6)), 
	CONSTRAINT ck_entry_strength CHECK (strength IS NULL OR (strength >= 0 AND strength <= 5)), 
	CONSTRAINT fk_entry_retracts_entry FOREIGN KEY(retracts) REFERENCES entry (id), 
	CONSTRAINT ck_entry_result CHECK (result IS NULL OR result IN ('positive', 'negative', 'unclear', 'normal', 'reduced', 'absent', 'increased', 'not_done')), 
	CONSTRAINT ck_entry_side CHECK (side IS NULL OR side IN ('right', 'left')), 
	CONSTRAINT ck_entry_unit CHECK (unit IS NULL OR unit IN ('deg', 'N', 'mm', 'cm', 's', 'grade', 'mmHg', '/min', '%', 'kg', 'level'))
);
INSERT INTO "entry" VALUES('f5c27688-3dce-4743-ba9e-69cc82eef7ab','cdae520e-7cb5-442f-8fd7-9a7114342a01',1,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'act_flexion','right',NULL,NULL,NULL,125.0,'deg',165.0,5.0,100.0,NULL,1,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('ea06fd66-a028-450b-a8aa-522eb82198ad','cdae520e-7cb5-442f-8fd7-9a7114342a01',2,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'act_abduction','right',NULL,NULL,NULL,100.0,'deg',170.0,6.0,80.0,NULL,1,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('07693124-1956-40bd-aea7-390285dda1aa','cdae520e-7cb5-442f-8fd7-9a7114342a01',3,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'act_hbb','right',NULL,NULL,NULL,NULL,NULL,NULL,5.0,NULL,NULL,1,'unclear',NULL,NULL,'reaches the buttock, other side T7',NULL,NULL);
INSERT INTO "entry" VALUES('65e885ad-add6-41cd-99e2-cb46c974e6ad','cdae520e-7cb5-442f-8fd7-9a7114342a01',4,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'gh_er_0','right',NULL,NULL,'early_capsular',35.0,'deg',65.0,5.0,NULL,NULL,1,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('be0d2896-c360-481c-9e58-650b80144be3','cdae520e-7cb5-442f-8fd7-9a7114342a01',5,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'gh_er_90','right',NULL,NULL,'early_capsular',50.0,'deg',90.0,5.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('ffe7984e-56eb-4559-9b4d-39c59d928f86','cdae520e-7cb5-442f-8fd7-9a7114342a01',6,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'gh_ir_90','right',NULL,NULL,'early_capsular',25.0,'deg',60.0,4.0,NULL,NULL,1,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('13b8aa65-1993-46ab-a8fa-8dc2d0312872','cdae520e-7cb5-442f-8fd7-9a7114342a01',7,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'gh_hadd','right',NULL,NULL,'firm_capsular',25.0,'deg',40.0,3.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('e499d27c-f994-41a9-87a3-b2215600cc34','cdae520e-7cb5-442f-8fd7-9a7114342a01',8,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'gh_post','right',NULL,2,'firm_capsular',NULL,NULL,NULL,4.0,NULL,NULL,1,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('7b86797c-74c6-43d2-b9ff-b0bc27c703d5','cdae520e-7cb5-442f-8fd7-9a7114342a01',9,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'gh_post','left',NULL,3,NULL,NULL,NULL,NULL,0.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('04492462-dae2-4440-bbad-0bf273b8a292','cdae520e-7cb5-442f-8fd7-9a7114342a01',10,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'gh_inf','right',NULL,2,'firm_capsular',NULL,NULL,NULL,3.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('e2dd0388-7be0-4237-9b31-212d5371396b','cdae520e-7cb5-442f-8fd7-9a7114342a01',11,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'gh_ant','right',NULL,2,'firm_capsular',NULL,NULL,NULL,2.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('5e39ae38-3d1a-47cc-8245-1b11227a4ed1','cdae520e-7cb5-442f-8fd7-9a7114342a01',12,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'gh_ant','left',NULL,3,NULL,NULL,NULL,NULL,0.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('9f0151ac-dbad-42a1-aa65-03c1ef4ee433','cdae520e-7cb5-442f-8fd7-9a7114342a01',13,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'th_pa_central',NULL,'T4',2,NULL,NULL,NULL,NULL,2.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('a26098b9-2e22-485f-b9aa-c8c13a173f59','cdae520e-7cb5-442f-8fd7-9a7114342a01',14,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'th_pa_central',NULL,'T5',1,'firm_capsular',NULL,NULL,NULL,4.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('6057eb2e-8ab9-42c9-940e-0dfed608193e','cdae520e-7cb5-442f-8fd7-9a7114342a01',15,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'th_pa_central',NULL,'T6',2,NULL,NULL,NULL,NULL,3.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('da691e39-bc82-4933-8060-18679ec0694b','cdae520e-7cb5-442f-8fd7-9a7114342a01',16,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'ct_pa',NULL,'T2',3,NULL,NULL,NULL,NULL,1.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('1542343b-a4ba-4671-8037-5b320a5e104c','cdae520e-7cb5-442f-8fd7-9a7114342a01',17,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'ac_ant','right',NULL,3,NULL,NULL,NULL,NULL,0.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('6d48cde8-a1f3-43c5-b563-43e656df2bd6','cdae520e-7cb5-442f-8fd7-9a7114342a01',18,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'sc_inf_lat','right',NULL,3,NULL,NULL,NULL,NULL,0.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('29fbe42b-a9d1-455c-a45a-3ccf84c0a156','cdae520e-7cb5-442f-8fd7-9a7114342a01',19,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'er_lag','right',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'negative',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('14504700-ef90-454c-b311-733d088d6107','cdae520e-7cb5-442f-8fd7-9a7114342a01',20,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'empty_can','right',NULL,NULL,NULL,NULL,NULL,NULL,4.0,NULL,NULL,NULL,'unclear',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('dd699f64-5eca-4bc8-9060-ca859073ac98','cdae520e-7cb5-442f-8fd7-9a7114342a01',21,'finding','2026-11-25 09:00:01.000000',NULL,NULL,'iso_er','right',NULL,NULL,NULL,NULL,NULL,NULL,2.0,NULL,NULL,NULL,NULL,NULL,5,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('5432ab55-9369-4037-b59c-6abad5688422','cdae520e-7cb5-442f-8fd7-9a7114342a01',22,'treatment','2026-11-25 09:00:01.000000',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'','posterior glide in side-lying','grade III 3 x 60 s');
INSERT INTO "entry" VALUES('b957e553-7181-459b-8977-c924075986a6','cdae520e-7cb5-442f-8fd7-9a7114342a01',23,'treatment','2026-11-25 09:00:01.000000',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'','thoracic extension glide T5','grade III 2 x 60 s');
INSERT INTO "entry" VALUES('73af9517-6fb4-4d43-ba02-72915dcb5b8e','cdae520e-7cb5-442f-8fd7-9a7114342a01',24,'retest','2026-11-25 09:00:01.000000',NULL,NULL,'gh_er_0','right',NULL,NULL,NULL,43.0,'deg',65.0,3.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('3b367da8-9147-4a08-88c3-4dab101b8f4d','cdae520e-7cb5-442f-8fd7-9a7114342a01',25,'retest','2026-11-25 09:00:01.000000',NULL,NULL,'act_abduction','right',NULL,NULL,NULL,128.0,'deg',170.0,4.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('ae967f44-8013-41e1-b22d-dd761adf8bb7','cdae520e-7cb5-442f-8fd7-9a7114342a01',26,'retest','2026-11-25 09:00:01.000000',NULL,NULL,'gh_post','right',NULL,2,NULL,NULL,NULL,NULL,3.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('095f6655-5978-4dd2-b6e0-6435d4670921','aadce219-c09a-427c-a14d-a15d0eb1f0cc',1,'finding','2026-11-25 09:00:13.000000',NULL,NULL,'gh_post','left',NULL,2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('cd88633c-a415-4cc3-8398-9d40fec1c973','aadce219-c09a-427c-a14d-a15d0eb1f0cc',2,'finding','2026-11-25 09:00:15.000000','095f6655-5978-4dd2-b6e0-6435d4670921',NULL,'gh_post','left',NULL,3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('f7362c31-25e2-4c3d-b3ca-1d49f13c8cc0','aadce219-c09a-427c-a14d-a15d0eb1f0cc',3,'finding','2026-11-25 09:00:17.000000',NULL,NULL,'gh_inf','left',NULL,2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('797e65fe-d41c-4893-9eb3-62f62637f7a0','aadce219-c09a-427c-a14d-a15d0eb1f0cc',4,'retraction','2026-11-25 09:00:19.000000',NULL,'f7362c31-25e2-4c3d-b3ca-1d49f13c8cc0',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('54ea5360-e42b-4b78-9b8f-7925575a6adb','aadce219-c09a-427c-a14d-a15d0eb1f0cc',5,'retraction','2026-11-25 09:00:21.000000',NULL,'797e65fe-d41c-4893-9eb3-62f62637f7a0',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('f36ec98f-9834-41fb-baf3-f77c5e720056','aadce219-c09a-427c-a14d-a15d0eb1f0cc',6,'finding','2026-11-25 09:00:23.000000',NULL,NULL,'gh_ant','left',NULL,3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('2fe063cb-cbca-4b31-8e7f-bdd38a3230ac','aadce219-c09a-427c-a14d-a15d0eb1f0cc',7,'retraction','2026-11-25 09:00:25.000000',NULL,'f36ec98f-9834-41fb-baf3-f77c5e720056',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('996becbc-5c3b-47a2-8329-62f0cce19f5f','aadce219-c09a-427c-a14d-a15d0eb1f0cc',8,'treatment','2026-11-25 09:00:29.000000',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'well borne','posterior glide','grade 3, 2 x 60 s');
INSERT INTO "entry" VALUES('090644b0-210d-4045-96a1-4ec5d707b5ed','aadce219-c09a-427c-a14d-a15d0eb1f0cc',9,'retest','2026-11-25 09:00:31.000000',NULL,NULL,'gh_post','left',NULL,3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
CREATE TABLE "episode" (
	id VARCHAR(36) NOT NULL, 
	person_id VARCHAR(36) NOT NULL, 
	title VARCHAR(300) NOT NULL, 
	side VARCHAR(5), 
	onset VARCHAR(10), 
	weeks DOUBLE, 
	irritability VARCHAR(10), 
	areas JSON NOT NULL, 
	story TEXT NOT NULL, 
	opened_at DATETIME NOT NULL, 
	CONSTRAINT pk_episode PRIMARY KEY (id), 
	CONSTRAINT fk_episode_person_id_person FOREIGN KEY(person_id) REFERENCES person (id) ON DELETE CASCADE, 
	CONSTRAINT ck_episode_side CHECK (side IS NULL OR side IN ('right', 'left')), 
	CONSTRAINT ck_episode_onset CHECK (onset IS NULL OR onset IN ('trauma', 'sudden', 'gradual', 'overuse', 'unknown')), 
	CONSTRAINT ck_episode_irritability CHECK (irritability IS NULL OR irritability IN ('low', 'moderate', 'high'))
);
INSERT INTO "episode" VALUES('c8156492-9bc9-4545-adcb-917dfceeaadd','67403327-fe1c-4d00-809a-10e65f2c0fb6','Sore, stiff right shoulder, first visit','right','gradual',16.0,'moderate','["lateral", "deep", "interscapular"]','Reaching overhead, fastening at the back and lying on the right hurt. Eases with rest in an hour. No injury.','2026-11-25 09:00:01.000000');
INSERT INTO "episode" VALUES('d57521f1-5119-4ece-aeff-94566bb4fd6e','ffc96d04-3dd0-496a-ac13-86a374a97505','left shoulder','left','gradual',8.0,'low','["lateral"]','Invented for the tests; it''s "quoted".','2026-11-25 09:00:04.000000');
CREATE TABLE "person" (
	id VARCHAR(36) NOT NULL, 
	label VARCHAR(200) NOT NULL, 
	age INTEGER, 
	sex VARCHAR(10), 
	dominant VARCHAR(5), 
	invented BOOLEAN NOT NULL, 
	created_at DATETIME NOT NULL, 
	CONSTRAINT pk_person PRIMARY KEY (id), 
	CONSTRAINT ck_person_sex CHECK (sex IS NULL OR sex IN ('female', 'male', 'other')), 
	CONSTRAINT ck_person_dominant CHECK (dominant IS NULL OR dominant IN ('right', 'left'))
);
INSERT INTO "person" VALUES('67403327-fe1c-4d00-809a-10e65f2c0fb6','Sore, stiff right shoulder, first visit',54,'female','right',1,'2026-11-25 09:00:01.000000');
INSERT INTO "person" VALUES('ffc96d04-3dd0-496a-ac13-86a374a97505','Invented, signed',52,'male','left',1,'2026-11-25 09:00:02.000000');
CREATE TABLE screen_answer (
	number INTEGER NOT NULL, 
	visit_id VARCHAR(36) NOT NULL, 
	cue VARCHAR(60) NOT NULL, 
	answer BOOLEAN, 
	answered_at DATETIME NOT NULL, 
	CONSTRAINT pk_screen_answer PRIMARY KEY (number), 
	CONSTRAINT fk_screen_answer_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id) ON DELETE CASCADE
);
INSERT INTO "screen_answer" VALUES(1,'cdae520e-7cb5-442f-8fd7-9a7114342a01','trauma_recent',0,'2026-11-25 09:00:01.000000');
INSERT INTO "screen_answer" VALUES(2,'cdae520e-7cb5-442f-8fd7-9a7114342a01','fever_unwell',0,'2026-11-25 09:00:01.000000');
INSERT INTO "screen_answer" VALUES(3,'cdae520e-7cb5-442f-8fd7-9a7114342a01','cancer_history',0,'2026-11-25 09:00:01.000000');
INSERT INTO "screen_answer" VALUES(4,'cdae520e-7cb5-442f-8fd7-9a7114342a01','night_pain_unremitting',0,'2026-11-25 09:00:01.000000');
INSERT INTO "screen_answer" VALUES(5,'cdae520e-7cb5-442f-8fd7-9a7114342a01','weight_loss_fatigue',0,'2026-11-25 09:00:01.000000');
INSERT INTO "screen_answer" VALUES(6,'cdae520e-7cb5-442f-8fd7-9a7114342a01','stiff_at_once',0,'2026-11-25 09:00:01.000000');
INSERT INTO "screen_answer" VALUES(7,'cdae520e-7cb5-442f-8fd7-9a7114342a01','chest_tight',0,'2026-11-25 09:00:01.000000');
INSERT INTO "screen_answer" VALUES(8,'aadce219-c09a-427c-a14d-a15d0eb1f0cc','fever_unwell',0,'2026-11-25 09:00:09.000000');
INSERT INTO "screen_answer" VALUES(9,'aadce219-c09a-427c-a14d-a15d0eb1f0cc','new_mass',1,'2026-11-25 09:00:09.000000');
INSERT INTO "screen_answer" VALUES(10,'aadce219-c09a-427c-a14d-a15d0eb1f0cc','fever_unwell',NULL,'2026-11-25 09:00:11.000000');
CREATE TABLE signed_note (
	id VARCHAR(36) NOT NULL, 
	visit_id VARCHAR(36) NOT NULL, 
	signed_by VARCHAR(200) NOT NULL, 
	signed_at DATETIME NOT NULL, 
	case_text TEXT NOT NULL, 
	note JSON NOT NULL, 
	release VARCHAR(64) NOT NULL, 
	program_version VARCHAR(40) NOT NULL, 
	CONSTRAINT pk_signed_note PRIMARY KEY (id), 
	CONSTRAINT fk_signed_note_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id), 
	CONSTRAINT uq_signed_note_visit_id UNIQUE (visit_id)
);
INSERT INTO "signed_note" VALUES('8a62495e-64c8-488b-8289-7c6acb90449c','aadce219-c09a-427c-a14d-a15d0eb1f0cc','A. Therapist','2026-11-25 09:00:32.000000','title: left shoulder
invented: yes
age: 52
sex: male
dominant: left
side: left
onset: gradual
weeks: 8
irritability: low
areas: lateral
story: Invented for the tests; it''s "quoted".

screen:
yes: new_mass

gh_post left mobility 3
gh_inf left mobility 2

treated: posterior glide, grade 3, 2 x 60 s; well borne

retest: gh_post left mobility 3
','{"form": 1, "title": "Shoulder girdle: examination note", "subtitle": "Invented, signed \u00b7 left shoulder girdle \u00b7 INVENTED EXAMPLE, no real person", "status": "Signed by A. Therapist, 2026-11-25 09:00 UTC", "signed": true, "invented": true, "sections": [{"id": "safety", "heading": "Safety", "blocks": [{"kind": "text", "text": "Safety verdict: urgent. Refer so that the person is seen within days to two weeks (local suspected-cancer or acute-shoulder route where one exists). Suspected-cancer route; no thrust or strong force near the site; explain plainly and do not reassure falsely.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "text", "text": "Overridden by A. Therapist. Recorded reason: A known lipoma, seen last week.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "table", "text": "", "items": [], "columns": ["Raised", "Urgency", "Because", "What to do"], "rows": [["Primary or secondary bone or soft tissue tumour [1] (read)", "urgent", "A new lump, swelling or enlarged node? (answered yes)", "Suspected-cancer route; no thrust or strong force near the site; explain plainly and do not reassure falsely."]], "tone": "plain", "points": [], "alt": ""}], "tone": "alert"}, {"id": "story", "heading": "Person and story", "blocks": [{"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Age", "52"], ["Sex", "male"], ["Dominant side", "left"], ["Side of complaint", "left"], ["Onset", "gradual, 8 weeks ago"], ["Irritability", "low"], ["Areas", "outer side of the shoulder"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Invented for the tests; it''s \"quoted\".", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "screen", "heading": "Screen", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Precaution", "Because", "Hands", "Label"], "rows": [["Malignant or unknown bone lesion in the region [2]", "new mass (answered yes)", "Refer; benign tumours are relative; contraindicated; contraindicated", "read"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Answered yes:", "items": ["A new lump, swelling or enlarged node?"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "", "items": [], "columns": ["Screen", "Question", "Answer"], "rows": [["Cancer", "Ever had cancer, a new lump, weight loss, or pain at night that nothing eases?", "YES"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "UNANSWERED: injury, infection, nerves, spinal cord, neck and head, heart and great vessels, lungs, abdomen, arm circulation, joints and inflammation, bones and medicines, looked at and felt, known before, feeling safe.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "154 of 155 single screening questions are unanswered. Unanswered is not no.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "baseline", "heading": "Baseline: active motion", "blocks": [{"kind": "text", "text": "No baseline was recorded.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "findings", "heading": "Findings by region", "blocks": [{"kind": "table", "text": "Glenohumeral joint", "items": [], "columns": ["Procedure", "Where", "Found"], "rows": [["Posterior glide in the resting position", "left", "3/6 normal"], ["Inferior glide in the resting position", "left", "2/6 slightly hypomobile"]], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "reasoning", "heading": "Reasoning", "blocks": [{"kind": "text", "text": "The safety verdict comes first; these figures do not weigh it.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "chart", "text": "Probability of each contributor with its 90 % interval", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [["Cuff-related pain, left", 0.6580188679245281, 0.3375755053913793, 0.9204295035654427], ["Frozen shoulder, left", 0.4635055410058448, 0.1055935369445034, 0.9192740558838122], ["Poor scapular control, left", 0.2999999999999999, 0.07416114120020054, 0.5456249767132993], ["Short pectoralis minor, left", 0.21999999999999997, 0.026577786168346922, 0.5548008483181146], ["Short levator scapulae or upper trapezius, left", 0.21999999999999997, 0.03593564993533629, 0.5148861860947825], ["Lower trapezius weakness, left", 0.19999999999999998, 0.02061490186290125, 0.5494075545009183], ["Serratus anterior weakness, left", 0.17999999999999994, 0.015062086282698612, 0.4500873453957398], ["Muscle pain about the shoulder blade, left", 0.16999999999999998, 0.046063101304565174, 0.3054889285827954]], "alt": "Probability with 90 % interval: Cuff-related pain, left 66 % (34 to 92 %); Frozen shoulder, left 46 % (11 to 92 %); Poor scapular control, left 30 % (7 to 55 %); Short pectoralis minor, left 22 % (3 to 55 %); Short levator scapulae or upper trapezius, left 22 % (4 to 51 %); Lower trapezius weakness, left 20 % (2 to 55 %); Serratus anterior weakness, left 18 % (2 to 45 %); Muscle pain about the shoulder blade, left 17 % (5 to 31 %)"}, {"kind": "table", "text": "", "items": [], "columns": ["Contributor", "Probability", "90 % interval", "Before the findings"], "rows": [["Cuff-related pain, left", "66 %", "34 % to 92 %", "66 %"], ["Frozen shoulder (global capsular contracture), left", "46 %", "11 % to 92 %", "37 %"], ["Poor scapular control, left", "30 %", "7 % to 55 %", "30 %"], ["Short pectoralis minor, left", "22 %", "3 % to 55 %", "22 %"], ["Short levator scapulae or upper trapezius, left", "22 %", "4 % to 51 %", "22 %"], ["Lower trapezius weakness, left", "20 %", "2 % to 55 %", "20 %"], ["Serratus anterior weakness, left", "18 %", "2 % to 45 %", "18 %"], ["Muscle pain about the shoulder blade, left", "17 %", "5 % to 31 %", "17 %"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Cuff-related pain, left, because:", "items": ["Story: pain at the outer side: for it, +2.6 decibans (practice)"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Frozen shoulder (global capsular contracture), left, because:", "items": ["Story: frozen shoulder peaks between 40 and 65; gradual onset is usual; pain at the outer side, deep, or in the upper arm: for it, +5.9 decibans (practice)", "Inferior glide in the resting position (left): grade 2, slightly hypomobile: for it, +3.9 decibans (practice [3])", "Posterior glide in the resting position (left): grade 3, normal: against it, \u22122.5 decibans (practice [3])"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "What would change this:", "items": ["Coracoid pressure pain compared with AC and lateral subacromial points (left) pain: frozen shoulder (global capsular contracture) would lead", "Posterior glide at 90 degrees flexion (left) hypo: frozen shoulder (global capsular contracture) would lead", "Shrug sign on active elevation (left) positive: frozen shoulder (global capsular contracture) would lead"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Probabilities are conditional on the evidence of this release, which is often weak. Several contributors at once are the rule; the figures do not add up to 100 %. The interval includes the uncertainty of the evidence. No combination was left out.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "articular", "heading": "Joint or soft tissue", "blocks": [{"kind": "text", "text": "No restricted angular motion was recorded.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "treatment", "heading": "Treatment tried and re-test", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Technique", "Dose", "Response"], "rows": [["posterior glide", "grade 3, 2 x 60 s", "well borne"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "Re-tests", "items": [], "columns": ["Re-test", "Recorded", "Before", "After", "Verdict"], "rows": [["Posterior glide in the resting position, left", "mobility", "3/6", "3/6", "no difference"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Error figures used:", "items": ["Accessory motion, 0 to 6: taken for examiner error by custom 1 grade (practice; one grade, by custom; no published smallest detectable change; manual grading) [4]. Grades by hand agree poorly; the limit of one grade is common practice, not a measured error; the error figure is practice, not read; no figure for how much change matters to people is in the evidence."], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "plan", "heading": "Plan", "blocks": [{"kind": "text", "text": "The safety verdict was overridden; its reason stands in the safety screen.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "list", "text": "Not to be done:", "items": ["Hands off until cleared: Primary or secondary bone or soft tissue tumour: Upper limb neurodynamic test, median bias, Upper limb neurodynamic test, radial bias, Upper limb neurodynamic test, ulnar bias, Elevated arm stress test (hands open and close), Trapezius shrug and scapular flip sign, Bone-conduction comparison (olecranon tap, stethoscope on manubrium), Foraminal compression (side-flexion with axial load), Neck distraction, Arm-on-head relief, Thoracic extension correction with arm elevation re-test, Skin-mark flexion ratio C7 to T5, Scapular assistance during arm elevation, Scapular reposition with resisted elevation, Scapular distance to spine in three arm positions, Pectoralis minor length, Levator scapulae length, Latissimus dorsi length, Scapular hold against diagonal resistance in side-lying, AC compression (hands clasped front and back), Cross-body adduction with overpressure, Active compression test, Resisted horizontal extension at 90 degrees, Load and shift, anterior, Load and shift, posterior, Sulcus sign, neutral rotation, Sulcus sign in lateral rotation, Hyperabduction with scapula held, Anterior apprehension, Relocation, Release (surprise) test, Posterior jerk test, Posteroinferior labral load test, Posterior apprehension, Generalised laxity score (0 to 9), Passive flexion in medial rotation with scapula held, Medial rotation at 90 degrees flexion, Resisted elevation, thumb down, Resisted elevation, thumb up, Drop-arm lowering, Lateral rotation lag at the side, Lateral rotation lag at 90 degrees, Lateral rotation strength at 90 degrees scaption, Medial rotation lag (lift-off hold), Belly press, Bear hug, Shrug sign on active elevation, Resisted flexion, forearm supinated, Resisted supination with lateral rotation, Resisted elbow flexion at 120 degrees abduction, Axial load with rotation in elevation, Medial against lateral rotation strength at 90/80 degrees, Coracoid pressure pain compared with AC and lateral subacromial points, Isometric abduction at the side, Isometric lateral rotation at the side, Isometric medial rotation at the side, Isometric flexion, Isometric extension, Isometric adduction, Isometric elbow flexion and supination, Lateral rotation force by hand-held dynamometer, Medial rotation force by hand-held dynamometer, Abduction force by hand-held dynamometer, Lower trapezius strength, Middle trapezius strength, Serratus anterior strength, Rhythmic stabilisation of the GH joint in side-lying", "Hands off until cleared: Primary or secondary bone or soft tissue tumour; precaution: malignant or unknown bone lesion in the region: Neck motion with gentle overpressure, Cervical rotation then side-flexion (first-rib test), Lower neck segmental palpation C5 to C7, Segmental extension glide, bilateral, Segmental extension glide, unilateral, upper side, Segmental extension glide, unilateral, lower side, Segmental flexion glide, Segmental rotation, Segmental side-flexion, Central posteroanterior pressure, Unilateral posteroanterior pressure over the facet, Transverse pressure on the spinous process, Rib springing at the angle T3 to T7, Anteroposterior pressure at the costosternal joints, Lateral rib springing in side-lying, Passive thoracic rotation, whole region, Passive thoracic side-flexion over a roll, Thoracic distraction, Cervicothoracic extension glide, bilateral, Cervicothoracic extension glide, unilateral, Cervicothoracic flexion glide, Cervicothoracic segmental rotation, Cervicothoracic segmental side-flexion, Cervicothoracic posteroanterior pressure, Cervicothoracic transverse pressure, First-rib caudal glide, First-rib spring on breathing out, Second-rib glide, Passive scapular elevation, Passive scapular depression, Passive scapular protraction, Passive scapular retraction, Passive upward rotation, Passive downward rotation, Passive posterior tilt, Passive anterior tilt, Passive lateral (external) rotation of the blade, Passive medial (internal) rotation of the blade, Diagonal: anterior elevation, Diagonal: posterior depression, Diagonal: posterior elevation, Diagonal: anterior depression, Scapular lift from the thorax, Scapular circles, crepitus and quality, Medial clavicle inferior-lateral glide, Medial clavicle superior-medial glide, Medial clavicle anterior glide, Medial clavicle posterior glide, Posterior rotation of the clavicle with scapular depression and retraction, Anterior rotation of the clavicle with scapular protraction, Lateral traction of the clavicle, SC anterior stability stress, Costoclavicular ligament stress (girdle elevation hold), SC motion felt during passive arm elevation, Acromion anterior glide on fixed clavicle, Acromion posterior glide on fixed clavicle, Lateral clavicle inferior glide (spring), Lateral clavicle anteroposterior glide, AC distraction through the arm, Clavicle rotation on fixed scapula, Conoid ligament stress (scapula lateral rotation with clavicle held), Trapezoid ligament stress (scapula medial rotation with clavicle held), Passive GH flexion, scapula held, Passive GH abduction, scapula held, Passive lateral rotation at the side, Passive lateral rotation at 45 degrees abduction, Passive lateral rotation at 90 degrees abduction, Passive medial rotation at 90 degrees abduction, scapula held, Passive medial rotation in side-lying on the tested side, 90 degrees flexion, Passive hand behind back, Passive horizontal adduction, scapula held, Passive horizontal abduction, Passive extension, Low flexion test (medial rotation at 60 degrees flexion), Passive total elevation, girdle free, Combined end-range (abduction, rotation swept) position, Lateral rotation and abduction with scapula free then held, Contract-relax then re-measure lateral rotation and abduction, Posterior glide in the resting position, Posterior glide at 90 degrees flexion, Posterior glide in end-range abduction and lateral rotation, Anterior glide in the resting position, Anterior glide at 90 degrees abduction with lateral rotation, Inferior glide in the resting position, Inferior glide at 90 degrees abduction or end range, Longitudinal caudad along the humerus, Lateral distraction in the treatment plane, Lateral distraction in flexion, Posterior-superior and anterior-inferior diagonal glides, Compression with small glide, Capsule stress: arm neutral, lateral rotation, Capsule stress: arm neutral, medial rotation, Capsule stress: arm neutral, inferior pull, Capsule stress: 45 degrees abduction, lateral rotation, Capsule stress: 90 degrees abduction, lateral rotation, Capsule stress: 90 degrees abduction, medial rotation, Capsule stress: 90 degrees flexion, lateral rotation, Capsule stress: 90 degrees flexion, medial rotation, Capsule stress: extension, lateral rotation, Capsule stress: extension, medial rotation, Capsule stress: horizontal adduction, medial rotation"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Next test: Active lateral rotation in 90 degrees abduction, left, sitting, 30 s. Tells most about frozen shoulder (global capsular contracture) and glenohumeral osteoarthritis", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "Rest of the examination (first 12 of 36 steps)", "items": [], "columns": ["Procedure, in order", "Where", "Position", "Time"], "rows": [["Demonstration of the person''s own limiting task", "left", "sitting", "60 s"], ["Biceps, brachioradialis, triceps reflexes", "left", "sitting", "45 s"], ["Key muscles C5 to T1", "left", "sitting", "112 s"], ["Active lateral rotation at the side", "left", "sitting", "30 s"], ["Active arm flexion", "left", "sitting", "30 s"], ["Active horizontal adduction", "left", "sitting", "30 s"], ["Active medial rotation in 90 degrees abduction", "left", "sitting", "30 s"], ["Active scapular-plane elevation, raising and lowering", "left", "sitting", "30 s"], ["Active neck motion, six directions", "central", "sitting", "60 s"], ["Serratus function (wall or couch push, winging)", "left", "sitting", "30 s"], ["Active arm abduction with arc noted", "left", "sitting", "30 s"], ["Active lateral rotation in 90 degrees abduction", "left", "sitting", "30 s"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Time", "19 min"], ["Changes of position", "1"], ["Left out", "168 procedures"]], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "cautions", "heading": "Cautions", "blocks": [{"kind": "list", "text": "", "items": ["Supports licensed clinicians and supervised students; it does not diagnose and does not decide.", "Emergency and referral rules come first. If in doubt, stop and refer.", "Thrust techniques need their own screening and the person''s consent.", "Local law, professional codes, scope of practice and data-protection rules prevail.", "Probabilities depend on evidence that is often weak; every figure says whether it was read, recalled or is common practice."], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "quiet"}, {"id": "origin", "heading": "Program and evidence", "blocks": [{"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Program", "Endfeel 0.1.0"], ["Evidence release", "ab372e0a47c4"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Labels: read = seen at the address given; memory = recalled, not checked; practice = common practice or judgement, no publication. Numbers in square brackets are the sources below.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "quiet"}], "sources": [{"number": 1, "citation": "Primary-care red flags for the shoulder, summarising Rangan 2015 and Murphy & Bintcliffe BMJ 2023;382:p1255", "address": "https://nursing-notebook.com/simplepage.cfm?ID=x2023071084948560864&linkID=82813"}, {"number": 2, "citation": "Best-practice table: possible contraindications to manipulation or mobilisation. J Altern Complement Med 2019", "address": "https://chiro.org/Graphics_Box_RESEARCH/GRAPHICS_19/BEST_PRACTICES/Table_9.html"}, {"number": 3, "citation": "Common practice of the trade", "address": ""}, {"number": 4, "citation": "common practice of the trade, no publication", "address": ""}], "footer": "Supports licensed clinicians; does not diagnose. Emergency and referral rules come first. Local rules prevail.", "release": "ab372e0a47c4", "program_version": "0.1.0", "written_at": "2026-11-25 09:00 UTC", "language": "en"}','ab372e0a47c4','0.1.0');
CREATE TABLE turn (
	number INTEGER NOT NULL, 
	visit_id VARCHAR(36) NOT NULL, 
	position VARCHAR(12) NOT NULL, 
	at DATETIME NOT NULL, 
	CONSTRAINT pk_turn PRIMARY KEY (number), 
	CONSTRAINT ck_turn_position CHECK (position IS NULL OR position IN ('standing', 'sitting', 'side_lying', 'supine', 'prone')), 
	CONSTRAINT fk_turn_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id) ON DELETE CASCADE
);
INSERT INTO "turn" VALUES(1,'cdae520e-7cb5-442f-8fd7-9a7114342a01','side_lying','2026-11-25 15:17:15.817352');
CREATE TABLE verdict_override (
	number INTEGER NOT NULL, 
	visit_id VARCHAR(36) NOT NULL, 
	urgency VARCHAR(12) NOT NULL, 
	flags JSON NOT NULL, 
	reason TEXT NOT NULL, 
	"by" VARCHAR(200) NOT NULL, 
	at DATETIME NOT NULL, 
	CONSTRAINT pk_verdict_override PRIMARY KEY (number), 
	CONSTRAINT fk_verdict_override_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id) ON DELETE CASCADE
);
INSERT INTO "verdict_override" VALUES(1,'aadce219-c09a-427c-a14d-a15d0eb1f0cc','urgent','["malignancy"]','A known lipoma, seen last week.','A. Therapist','2026-11-25 09:00:27.000000');
CREATE TABLE "visit" (
	id VARCHAR(36) NOT NULL, 
	episode_id VARCHAR(36) NOT NULL, 
	opened_at DATETIME NOT NULL, 
	position VARCHAR(12) NOT NULL, 
	CONSTRAINT pk_visit PRIMARY KEY (id), 
	CONSTRAINT fk_visit_episode_id_episode FOREIGN KEY(episode_id) REFERENCES episode (id) ON DELETE CASCADE, 
	CONSTRAINT ck_visit_position CHECK (position IS NULL OR position IN ('standing', 'sitting', 'side_lying', 'supine', 'prone'))
);
INSERT INTO "visit" VALUES('cdae520e-7cb5-442f-8fd7-9a7114342a01','c8156492-9bc9-4545-adcb-917dfceeaadd','2026-11-25 09:00:01.000000','sitting');
INSERT INTO "visit" VALUES('aadce219-c09a-427c-a14d-a15d0eb1f0cc','d57521f1-5119-4ece-aeff-94566bb4fd6e','2026-11-25 09:00:06.000000','sitting');
CREATE INDEX ix_audit_person_id ON audit (person_id);
CREATE INDEX ix_screen_answer_visit_id ON screen_answer (visit_id);
CREATE INDEX ix_verdict_override_visit_id ON verdict_override (visit_id);
CREATE INDEX ix_addendum_note_id ON addendum (note_id);
CREATE TRIGGER signed_note_no_update BEFORE UPDATE ON signed_note BEGIN SELECT RAISE(ABORT, 'rows of signed_note are never changed'); END;
CREATE TRIGGER signed_note_no_delete BEFORE DELETE ON signed_note BEGIN SELECT RAISE(ABORT, 'rows of signed_note are never changed'); END;
CREATE TRIGGER addendum_no_update BEFORE UPDATE ON addendum BEGIN SELECT RAISE(ABORT, 'rows of addendum are never changed'); END;
CREATE TRIGGER addendum_no_delete BEFORE DELETE ON addendum BEGIN SELECT RAISE(ABORT, 'rows of addendum are never changed'); END;
CREATE TRIGGER screen_answer_no_update BEFORE UPDATE ON screen_answer BEGIN SELECT RAISE(ABORT, 'rows of screen_answer are never changed'); END;
CREATE TRIGGER verdict_override_no_update BEFORE UPDATE ON verdict_override BEGIN SELECT RAISE(ABORT, 'rows of verdict_override are never changed'); END;
CREATE TRIGGER audit_no_update BEFORE UPDATE ON audit BEGIN SELECT RAISE(ABORT, 'rows of audit are never changed'); END;
CREATE INDEX ix_episode_person_id ON episode (person_id);
CREATE INDEX ix_visit_episode_id ON visit (episode_id);
CREATE TRIGGER signed_note_no_replace BEFORE INSERT ON signed_note FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE id = NEW.id OR visit_id = NEW.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of signed_note are never changed'); END;
CREATE TRIGGER addendum_no_replace BEFORE INSERT ON addendum FOR EACH ROW WHEN EXISTS (SELECT 1 FROM addendum WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'rows of addendum are never changed'); END;
CREATE TRIGGER screen_answer_no_replace BEFORE INSERT ON screen_answer FOR EACH ROW WHEN EXISTS (SELECT 1 FROM screen_answer WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'rows of screen_answer are never changed'); END;
CREATE TRIGGER verdict_override_no_replace BEFORE INSERT ON verdict_override FOR EACH ROW WHEN EXISTS (SELECT 1 FROM verdict_override WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'rows of verdict_override are never changed'); END;
CREATE TRIGGER audit_no_replace BEFORE INSERT ON audit FOR EACH ROW WHEN EXISTS (SELECT 1 FROM audit WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'rows of audit are never changed'); END;
CREATE TRIGGER audit_no_delete BEFORE DELETE ON audit FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'rows of audit are never changed'); END;
CREATE TRIGGER screen_answer_closed BEFORE INSERT ON screen_answer FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = NEW.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of screen_answer are never changed'); END;
CREATE TRIGGER screen_answer_kept BEFORE DELETE ON screen_answer FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = OLD.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of screen_answer are never changed'); END;
CREATE TRIGGER verdict_override_closed BEFORE INSERT ON verdict_override FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = NEW.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of verdict_override are never changed'); END;
CREATE TRIGGER verdict_override_kept BEFORE DELETE ON verdict_override FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = OLD.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of verdict_override are never changed'); END;
CREATE INDEX ix_turn_visit_id ON turn (visit_id);
CREATE TRIGGER turn_no_update BEFORE UPDATE ON turn FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of turn are never changed'); END;
CREATE TRIGGER turn_no_replace BEFORE INSERT ON turn FOR EACH ROW WHEN EXISTS (SELECT 1 FROM turn WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'rows of turn are never changed'); END;
CREATE TRIGGER turn_closed BEFORE INSERT ON turn FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = NEW.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of turn are never changed'); END;
CREATE TRIGGER turn_kept BEFORE DELETE ON turn FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = OLD.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of turn are never changed'); END;
CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'rows of entry are never changed'); END;
CREATE TRIGGER entry_no_replace BEFORE INSERT ON entry FOR EACH ROW WHEN EXISTS (SELECT 1 FROM entry WHERE id = NEW.id OR (visit_id = NEW.visit_id AND sequence = NEW.sequence)) BEGIN SELECT RAISE(ABORT, 'rows of entry are never changed'); END;
CREATE TRIGGER entry_closed BEFORE INSERT ON entry FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = NEW.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of entry are never changed'); END;
CREATE TRIGGER entry_kept BEFORE DELETE ON entry FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = OLD.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of entry are never changed'); END;
COMMIT;
