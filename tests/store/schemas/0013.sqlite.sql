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
INSERT INTO "addendum" VALUES('5e3dd558-e94f-4e7b-8649-cdb83c765f42','6f9a5f5d-aee8-4020-8d53-d50b1f8e6dc6','A. Therapist','2026-11-25 09:01:12.000000','Letter sent.');
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0013');
CREATE TABLE assignment (
	person_id VARCHAR(36) NOT NULL, 
	staff_id VARCHAR(36) NOT NULL, 
	at DATETIME NOT NULL, 
	"by" VARCHAR(200) NOT NULL, 
	CONSTRAINT pk_assignment PRIMARY KEY (person_id, staff_id), 
	CONSTRAINT fk_assignment_person_id_person FOREIGN KEY(person_id) REFERENCES person (id) ON DELETE CASCADE, 
	CONSTRAINT fk_assignment_staff_id_staff FOREIGN KEY(staff_id) REFERENCES staff (id)
);
CREATE TABLE "audit" (
	number INTEGER NOT NULL, 
	at DATETIME NOT NULL, 
	who VARCHAR(200) NOT NULL, 
	act VARCHAR(40) NOT NULL, 
	person_id VARCHAR(36), 
	visit_id VARCHAR(36), 
	detail TEXT NOT NULL, 
	place INTEGER NOT NULL, 
	why TEXT NOT NULL, 
	previous VARCHAR(64) NOT NULL, 
	hash VARCHAR(64) NOT NULL, 
	CONSTRAINT pk_audit PRIMARY KEY (number), 
	CONSTRAINT uq_audit_place UNIQUE (place)
);
INSERT INTO "audit" VALUES(1,'2026-11-25 09:00:37.000000','therapist','import case','ba5d6a82-f97b-4580-aa4f-6ca937a5c8b1','458cf00b-5af1-430a-86ee-b159f638be40','',1,'care','0000000000000000000000000000000000000000000000000000000000000000','c98b27529057bff37eee6447db2232f0dbadb535466250dae2022c6c82df415a');
INSERT INTO "audit" VALUES(2,'2026-11-25 09:00:39.000000','therapist','new person','00973ce5-4213-47d8-be19-14e6a730722d',NULL,'',2,'care','c98b27529057bff37eee6447db2232f0dbadb535466250dae2022c6c82df415a','5fbad0b8ac5d8067e21e34bd32226fe5680fc09d2a51e731ae6062a12bd67458');
INSERT INTO "audit" VALUES(3,'2026-11-25 09:00:41.000000','therapist','open episode','00973ce5-4213-47d8-be19-14e6a730722d',NULL,'',3,'care','5fbad0b8ac5d8067e21e34bd32226fe5680fc09d2a51e731ae6062a12bd67458','3cc80d59c892e40140216a65950b9161f94caa350f6a836a3d7036a77d039a73');
INSERT INTO "audit" VALUES(4,'2026-11-25 09:00:43.000000','therapist','open visit','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','',4,'care','3cc80d59c892e40140216a65950b9161f94caa350f6a836a3d7036a77d039a73','edda6141dcd87a1a704378c67302d4763f5c12253ec6cabf1d6a35df2379b7d0');
INSERT INTO "audit" VALUES(5,'2026-11-25 09:00:44.000000','therapist','screen','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','',5,'care','edda6141dcd87a1a704378c67302d4763f5c12253ec6cabf1d6a35df2379b7d0','072fbaacf5701c060020a07b677e69cb41a76c518d94440aaee336c9c50a17e8');
INSERT INTO "audit" VALUES(6,'2026-11-25 09:00:46.000000','therapist','screen','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','',6,'care','072fbaacf5701c060020a07b677e69cb41a76c518d94440aaee336c9c50a17e8','6b37b61baece24cfde2e2d25cac70705b3168dc3a5f149b5f6e01811ab8346d8');
INSERT INTO "audit" VALUES(7,'2026-11-25 09:00:48.000000','therapist','record finding','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','gh_post',7,'care','6b37b61baece24cfde2e2d25cac70705b3168dc3a5f149b5f6e01811ab8346d8','5e14e46c3f1c0492e4506e694ce704d2d20ddd2d6889315b353ebd1d657f8c98');
INSERT INTO "audit" VALUES(8,'2026-11-25 09:00:50.000000','therapist','correct finding','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','gh_post',8,'care','5e14e46c3f1c0492e4506e694ce704d2d20ddd2d6889315b353ebd1d657f8c98','d8ddcf59c1ad5138533be4571fa1e6dda84c6aa870fdd2036357102282c0d965');
INSERT INTO "audit" VALUES(9,'2026-11-25 09:00:52.000000','therapist','turn','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','side_lying',9,'care','d8ddcf59c1ad5138533be4571fa1e6dda84c6aa870fdd2036357102282c0d965','1745570f488821e5b753ceba2ae4ee3120c01d07ece04c85811276fcf4a0abe6');
INSERT INTO "audit" VALUES(10,'2026-11-25 09:00:54.000000','therapist','record finding','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','gh_inf',10,'care','1745570f488821e5b753ceba2ae4ee3120c01d07ece04c85811276fcf4a0abe6','8e96254942acb5b8f7c7523de59141f497b21250a90edf990d1d028645e66a27');
INSERT INTO "audit" VALUES(11,'2026-11-25 09:00:56.000000','therapist','undo','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','',11,'care','8e96254942acb5b8f7c7523de59141f497b21250a90edf990d1d028645e66a27','ec7dfca450fdaa456a19dfd2199d0d32c42fe4d88d45ea00983e18c5f1be3e66');
INSERT INTO "audit" VALUES(12,'2026-11-25 09:00:58.000000','therapist','redo','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','',12,'care','ec7dfca450fdaa456a19dfd2199d0d32c42fe4d88d45ea00983e18c5f1be3e66','58ef7ac53e760d1d650b7203451e1092caf176f4b852ea6cf84a2ce5641a5d3e');
INSERT INTO "audit" VALUES(13,'2026-11-25 09:01:00.000000','therapist','record finding','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','gh_ant',13,'care','58ef7ac53e760d1d650b7203451e1092caf176f4b852ea6cf84a2ce5641a5d3e','98fde5ba288a86f5a420aa7305a294ee37ba28ee5f11464c12a5a1d2072d74ad');
INSERT INTO "audit" VALUES(14,'2026-11-25 09:01:02.000000','therapist','undo','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','',14,'care','98fde5ba288a86f5a420aa7305a294ee37ba28ee5f11464c12a5a1d2072d74ad','17162e85ebdd15c62115a1c257ee7afcdb4a67a1ae46bcaffc111e57f02aa757');
INSERT INTO "audit" VALUES(15,'2026-11-25 09:01:04.000000','therapist','override','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','',15,'care','17162e85ebdd15c62115a1c257ee7afcdb4a67a1ae46bcaffc111e57f02aa757','1c7a9f28a886fafde5e0bb7a88f63a504d292b37c3b4ab4ae7aa380d73c1e5f2');
INSERT INTO "audit" VALUES(16,'2026-11-25 09:01:06.000000','therapist','record treatment','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','',16,'care','1c7a9f28a886fafde5e0bb7a88f63a504d292b37c3b4ab4ae7aa380d73c1e5f2','9d7ed6132151911f46d26645209eb66f48cc725f5bf6047189238ab7c8bb8a44');
INSERT INTO "audit" VALUES(17,'2026-11-25 09:01:08.000000','therapist','record retest','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','gh_post',17,'care','9d7ed6132151911f46d26645209eb66f48cc725f5bf6047189238ab7c8bb8a44','7b4e73113c8638e576aba116ffd870dcfce66eb343c66160b6ec2d7d73af1274');
INSERT INTO "audit" VALUES(18,'2026-11-25 09:01:11.000000','therapist','sign note','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','',18,'care','7b4e73113c8638e576aba116ffd870dcfce66eb343c66160b6ec2d7d73af1274','64f328a6d5afca1f8a234d341683b3022e248868c145d8e5764553b800da0f3b');
INSERT INTO "audit" VALUES(19,'2026-11-25 09:01:13.000000','therapist','addendum','00973ce5-4213-47d8-be19-14e6a730722d','808ef9e8-4aea-42a0-a789-0a2a0064e107','',19,'care','64f328a6d5afca1f8a234d341683b3022e248868c145d8e5764553b800da0f3b','2f9eab5393c0a1590208463542ea5d07e24bc1356aef2ddd6d9c0fdb244d6733');
INSERT INTO "audit" VALUES(20,'2026-11-26 07:28:46.875560','therapist','list people',NULL,NULL,'2 people',20,'care','2f9eab5393c0a1590208463542ea5d07e24bc1356aef2ddd6d9c0fdb244d6733','d0057faa2c6f8079bf253e7a243497eebdfd68dbbd651a90945d4ce3dbbe55de');
INSERT INTO "audit" VALUES(21,'2026-11-26 07:28:47.612632','therapist','draw area','ba5d6a82-f97b-4580-aa4f-6ca937a5c8b1','458cf00b-5af1-430a-86ee-b159f638be40','front',21,'care','d0057faa2c6f8079bf253e7a243497eebdfd68dbbd651a90945d4ce3dbbe55de','8fe001ac9a9b5cd5c8495348e7a81947bdd41bdb69e00d4711db5be0c8487cca');
INSERT INTO "audit" VALUES(22,'2026-11-26 07:28:47.659035','therapist','draw area','ba5d6a82-f97b-4580-aa4f-6ca937a5c8b1','458cf00b-5af1-430a-86ee-b159f638be40','back',22,'care','8fe001ac9a9b5cd5c8495348e7a81947bdd41bdb69e00d4711db5be0c8487cca','aabf1ce0a2308833bd0e51329ebc4bfd515c7da78d000129530ae9db82a55d21');
INSERT INTO "audit" VALUES(23,'2026-11-26 07:28:47.672669','therapist','take back area','ba5d6a82-f97b-4580-aa4f-6ca937a5c8b1','458cf00b-5af1-430a-86ee-b159f638be40','',23,'care','aabf1ce0a2308833bd0e51329ebc4bfd515c7da78d000129530ae9db82a55d21','f4b66de15fa1f6e88c59e021160c50a78e280ad61e271e2de8d6b546a48a7c95');
INSERT INTO "audit" VALUES(24,'2026-11-26 07:53:03.272905','therapist','list people',NULL,NULL,'2 people',24,'care','f4b66de15fa1f6e88c59e021160c50a78e280ad61e271e2de8d6b546a48a7c95','d9a3649e1bec6ed67673bdeddcfed0de219f12a1ad43048f3184eb5644862c5a');
INSERT INTO "audit" VALUES(25,'2026-11-26 07:53:03.421140','therapist','record measure','ba5d6a82-f97b-4580-aa4f-6ca937a5c8b1','458cf00b-5af1-430a-86ee-b159f638be40','nprs',25,'care','d9a3649e1bec6ed67673bdeddcfed0de219f12a1ad43048f3184eb5644862c5a','04f2e3f752d86870e170bb49585ca6d2f283258eaf49ae7e5d087ee3580c5db2');
INSERT INTO "audit" VALUES(26,'2026-11-26 07:53:03.501824','therapist','prefer','ba5d6a82-f97b-4580-aa4f-6ca937a5c8b1','458cf00b-5af1-430a-86ee-b159f638be40','thrust',26,'care','04f2e3f752d86870e170bb49585ca6d2f283258eaf49ae7e5d087ee3580c5db2','9e5009637af6c476c4962cc16e78f75f13a76b766f0a6fb74c16a5318c52dced');
CREATE TABLE audit_head (
	id INTEGER NOT NULL, 
	place INTEGER NOT NULL, 
	hash VARCHAR(64) NOT NULL, 
	at DATETIME, 
	CONSTRAINT pk_audit_head PRIMARY KEY (id), 
	CONSTRAINT ck_audit_head_id CHECK (id = 1)
);
INSERT INTO "audit_head" VALUES(1,26,'9e5009637af6c476c4962cc16e78f75f13a76b766f0a6fb74c16a5318c52dced','2026-11-26 07:53:03.501824');
CREATE TABLE break_glass (
	number INTEGER NOT NULL, 
	person_id VARCHAR(36) NOT NULL, 
	staff_id VARCHAR(36) NOT NULL, 
	reason TEXT NOT NULL, 
	at DATETIME NOT NULL, 
	until DATETIME NOT NULL, 
	noted_by VARCHAR(200), 
	noted_at DATETIME, 
	CONSTRAINT pk_break_glass PRIMARY KEY (number), 
	CONSTRAINT fk_break_glass_person_id_person FOREIGN KEY(person_id) REFERENCES person (id) ON DELETE CASCADE, 
	CONSTRAINT fk_break_glass_staff_id_staff FOREIGN KEY(staff_id) REFERENCES staff (id)
);
CREATE TABLE chart_area (
	number INTEGER NOT NULL, 
	id VARCHAR(36) NOT NULL, 
	visit_id VARCHAR(36) NOT NULL, 
	at DATETIME NOT NULL, 
	takes_back VARCHAR(36), 
	"view" VARCHAR(8), 
	path JSON NOT NULL, 
	quality VARCHAR(12), 
	depth VARCHAR(8), 
	intensity INTEGER, 
	CONSTRAINT pk_chart_area PRIMARY KEY (number), 
	CONSTRAINT ck_chart_area_view CHECK (view IS NULL OR view IN ('front', 'back', 'right', 'left')), 
	CONSTRAINT ck_chart_area_quality CHECK (quality IS NULL OR quality IN ('aching', 'sharp', 'burning', 'throbbing', 'tingling', 'numb', 'tight')), 
	CONSTRAINT ck_chart_area_depth CHECK (depth IS NULL OR depth IN ('surface', 'deep')), 
	CONSTRAINT ck_chart_area_intensity CHECK (intensity IS NULL OR (intensity >= 0 AND intensity <= 10)), 
	CONSTRAINT ck_chart_area_shape CHECK ((takes_back IS NULL) = (view IS NOT NULL)), 
	CONSTRAINT fk_chart_area_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id) ON DELETE CASCADE, 
	CONSTRAINT uq_chart_area_id UNIQUE (id)
);
INSERT INTO "chart_area" VALUES(1,'kept-area-1','458cf00b-5af1-430a-86ee-b159f638be40','2026-11-26 07:28:47.612756',NULL,'front','[[30.0, 45.0], [31.0, 46.0]]','aching',NULL,NULL);
INSERT INTO "chart_area" VALUES(2,'kept-area-2','458cf00b-5af1-430a-86ee-b159f638be40','2026-11-26 07:28:47.659146',NULL,'back','[[30.0, 45.0]]',NULL,NULL,NULL);
INSERT INTO "chart_area" VALUES(3,'b9630aa1-9c4c-4450-890f-9f8eb3d245e9','458cf00b-5af1-430a-86ee-b159f638be40','2026-11-26 07:28:47.672784','kept-area-2',NULL,'[]',NULL,NULL,NULL);
CREATE TABLE class_case (
	number INTEGER NOT NULL, 
	class_id VARCHAR(36) NOT NULL, 
	code VARCHAR(12) NOT NULL, 
	minutes DOUBLE NOT NULL, 
	at DATETIME NOT NULL, 
	CONSTRAINT pk_class_case PRIMARY KEY (number), 
	CONSTRAINT fk_class_case_class_id_learning_class FOREIGN KEY(class_id) REFERENCES learning_class (id) ON DELETE CASCADE, 
	CONSTRAINT uq_class_case_class_id_code UNIQUE (class_id, code)
);
CREATE TABLE class_member (
	id VARCHAR(36) NOT NULL, 
	class_id VARCHAR(36) NOT NULL, 
	name VARCHAR(60) NOT NULL, 
	joined_at DATETIME NOT NULL, 
	CONSTRAINT pk_class_member PRIMARY KEY (id), 
	CONSTRAINT fk_class_member_class_id_learning_class FOREIGN KEY(class_id) REFERENCES learning_class (id) ON DELETE CASCADE, 
	CONSTRAINT uq_class_member_class_id_name UNIQUE (class_id, name)
);
CREATE TABLE confirmed_outcome (
	number INTEGER NOT NULL, 
	id VARCHAR(36) NOT NULL, 
	episode_id VARCHAR(36) NOT NULL, 
	at DATETIME NOT NULL, 
	takes_back VARCHAR(36), 
	contributor VARCHAR(60), 
	side VARCHAR(5), 
	confirmed BOOLEAN, 
	reference VARCHAR(12), 
	known_on DATE, 
	words TEXT NOT NULL, 
	"by" VARCHAR(200) NOT NULL, 
	CONSTRAINT pk_confirmed_outcome PRIMARY KEY (number), 
	CONSTRAINT ck_confirmed_outcome_side CHECK (side IS NULL OR side IN ('right', 'left')), 
	CONSTRAINT ck_confirmed_outcome_reference CHECK (reference IS NULL OR reference IN ('imaging', 'block', 'surgery', 'response')), 
	CONSTRAINT ck_confirmed_outcome_shape CHECK ((takes_back IS NULL) = (contributor IS NOT NULL) AND (takes_back IS NULL) = (confirmed IS NOT NULL) AND (takes_back IS NULL) = (reference IS NOT NULL) AND (takes_back IS NULL) = (known_on IS NOT NULL)), 
	CONSTRAINT fk_confirmed_outcome_episode_id_episode FOREIGN KEY(episode_id) REFERENCES episode (id) ON DELETE CASCADE, 
	CONSTRAINT uq_confirmed_outcome_id UNIQUE (id)
);
CREATE TABLE consent (
	number INTEGER NOT NULL, 
	person_id VARCHAR(36) NOT NULL, 
	purpose VARCHAR(16) NOT NULL, 
	given BOOLEAN NOT NULL, 
	words TEXT NOT NULL, 
	"by" VARCHAR(200) NOT NULL, 
	at DATETIME NOT NULL, 
	CONSTRAINT pk_consent PRIMARY KEY (number), 
	CONSTRAINT ck_consent_purpose CHECK (purpose IS NULL OR purpose IN ('care', 'teaching', 'shared_counts')), 
	CONSTRAINT fk_consent_person_id_person FOREIGN KEY(person_id) REFERENCES person (id) ON DELETE CASCADE
);
CREATE TABLE document_addendum (
	id VARCHAR(36) NOT NULL, 
	document_id VARCHAR(36) NOT NULL, 
	"by" VARCHAR(200) NOT NULL, 
	at DATETIME NOT NULL, 
	text TEXT NOT NULL, 
	CONSTRAINT pk_document_addendum PRIMARY KEY (id), 
	CONSTRAINT fk_document_addendum_document_id_signed_document FOREIGN KEY(document_id) REFERENCES signed_document (id)
);
INSERT INTO "document_addendum" VALUES('d9000000-0000-4000-8000-000000000002','d9000000-0000-4000-8000-000000000001','A. Therapist','2026-11-25 09:01:10.000000','Sent by post.');
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
	CONSTRAINT ck_entry_strength CHECK (strength IS NULL OR (strength >= 0 AND strength <= 5)), 
	CONSTRAINT ck_entry_mobility CHECK (mobility IS NULL OR (mobility >= 0 AND mobility <= 6)), 
	CONSTRAINT ck_entry_side CHECK (side IS NULL OR side IN ('right', 'left')), 
	CONSTRAINT ck_entry_shape CHECK ((kind = 'retraction') = (retracts IS NOT NULL) AND (kind = 'treatment') = (technique IS NOT NULL) AND (kind IN ('finding', 'retest')) = (procedure IS NOT NULL)), 
	CONSTRAINT fk_entry_retracts_entry FOREIGN KEY(retracts) REFERENCES entry (id), 
	CONSTRAINT ck_entry_kind CHECK (kind IN ('finding', 'retest', 'treatment', 'retraction')), 
	CONSTRAINT ck_entry_pain CHECK (pain IS NULL OR (pain >= 0 AND pain <= 10)), 
	CONSTRAINT ck_entry_result CHECK (result IS NULL OR result IN ('positive', 'negative', 'unclear', 'normal', 'reduced', 'absent', 'increased', 'not_done')), 
	CONSTRAINT uq_entry_visit_id_sequence UNIQUE (visit_id, sequence), 
	CONSTRAINT fk_entry_supersedes_entry FOREIGN KEY(supersedes) REFERENCES entry (id), 
	CONSTRAINT fk_entry_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id) ON DELETE CASCADE, 
	CONSTRAINT ck_entry_end_feel CHECK (end_feel IS NULL OR end_feel IN ('soft_apposition', 'firm_capsular', 'firm_muscular', 'firm_ligament', 'hard_bone', 'spasm', 'empty', 'springy_block', 'loose', 'boggy', 'early_capsular')), 
	CONSTRAINT ck_entry_unit CHECK (unit IS NULL OR unit IN ('deg', 'N', 'mm', 'cm', 's', 'grade', 'mmHg', '/min', '%', 'kg', 'level'))
);
INSERT INTO "entry" VALUES('afebe9e1-1d42-47b4-9df9-2d3af4bc8e0c','458cf00b-5af1-430a-86ee-b159f638be40',1,'finding','2026-11-25 09:00:11.000000',NULL,NULL,'act_flexion','right',NULL,NULL,NULL,125.0,'deg',165.0,5.0,100.0,NULL,1,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('a2e8e00f-c527-4e47-985c-7d33ca67c633','458cf00b-5af1-430a-86ee-b159f638be40',2,'finding','2026-11-25 09:00:12.000000',NULL,NULL,'act_abduction','right',NULL,NULL,NULL,100.0,'deg',170.0,6.0,80.0,NULL,1,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('279153c3-7984-483e-8571-6191a5af67e3','458cf00b-5af1-430a-86ee-b159f638be40',3,'finding','2026-11-25 09:00:13.000000',NULL,NULL,'act_hbb','right',NULL,NULL,NULL,1.0,'level',13.0,5.0,NULL,NULL,1,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('07788ab6-5f1f-42e7-bc34-f41a2ef43b0f','458cf00b-5af1-430a-86ee-b159f638be40',4,'finding','2026-11-25 09:00:14.000000',NULL,NULL,'gh_er_0','right',NULL,NULL,'early_capsular',35.0,'deg',65.0,5.0,NULL,NULL,1,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('6a770e40-be57-46db-89d5-2665cc431437','458cf00b-5af1-430a-86ee-b159f638be40',5,'finding','2026-11-25 09:00:15.000000',NULL,NULL,'gh_er_90','right',NULL,NULL,'early_capsular',50.0,'deg',90.0,5.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('16d1b5a7-9d47-4396-8850-e8eef8bebc49','458cf00b-5af1-430a-86ee-b159f638be40',6,'finding','2026-11-25 09:00:16.000000',NULL,NULL,'gh_ir_90','right',NULL,NULL,'early_capsular',25.0,'deg',60.0,4.0,NULL,NULL,1,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('423c0bdb-b926-4774-be39-d8495feef973','458cf00b-5af1-430a-86ee-b159f638be40',7,'finding','2026-11-25 09:00:17.000000',NULL,NULL,'gh_hadd','right',NULL,NULL,'firm_capsular',25.0,'deg',40.0,3.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('092f9943-68e3-4a91-9d44-e625a70e9b87','458cf00b-5af1-430a-86ee-b159f638be40',8,'finding','2026-11-25 09:00:18.000000',NULL,NULL,'gh_post','right',NULL,2,'firm_capsular',NULL,NULL,NULL,4.0,NULL,NULL,1,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('2f0dc530-d31a-47d8-8c42-43a3dc0e2eaa','458cf00b-5af1-430a-86ee-b159f638be40',9,'finding','2026-11-25 09:00:19.000000',NULL,NULL,'gh_post','left',NULL,3,NULL,NULL,NULL,NULL,0.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('dab664c5-7c2a-4904-9cec-6e7aa69fc5ed','458cf00b-5af1-430a-86ee-b159f638be40',10,'finding','2026-11-25 09:00:20.000000',NULL,NULL,'gh_inf','right',NULL,2,'firm_capsular',NULL,NULL,NULL,3.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('4f4e18ec-f775-4a4e-85e2-a12723d16d04','458cf00b-5af1-430a-86ee-b159f638be40',11,'finding','2026-11-25 09:00:21.000000',NULL,NULL,'gh_ant','right',NULL,2,'firm_capsular',NULL,NULL,NULL,2.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('e2b84bd8-d09b-4ba6-aea1-538c1643ee61','458cf00b-5af1-430a-86ee-b159f638be40',12,'finding','2026-11-25 09:00:22.000000',NULL,NULL,'gh_ant','left',NULL,3,NULL,NULL,NULL,NULL,0.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('8302564c-c339-4ede-8cdb-61e79f840be1','458cf00b-5af1-430a-86ee-b159f638be40',13,'finding','2026-11-25 09:00:23.000000',NULL,NULL,'th_pa_central',NULL,'T4',2,NULL,NULL,NULL,NULL,2.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('a2b6099b-2cc8-4a38-972e-970a019e01c3','458cf00b-5af1-430a-86ee-b159f638be40',14,'finding','2026-11-25 09:00:24.000000',NULL,NULL,'th_pa_central',NULL,'T5',1,'firm_capsular',NULL,NULL,NULL,4.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('b2330adb-776f-4655-a05a-057a64978258','458cf00b-5af1-430a-86ee-b159f638be40',15,'finding','2026-11-25 09:00:25.000000',NULL,NULL,'th_pa_central',NULL,'T6',2,NULL,NULL,NULL,NULL,3.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('d92e8f62-8c20-4ac9-8f0a-d1c834a36430','458cf00b-5af1-430a-86ee-b159f638be40',16,'finding','2026-11-25 09:00:26.000000',NULL,NULL,'ct_pa',NULL,'T2',3,NULL,NULL,NULL,NULL,1.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('6e0d67d6-e968-475f-9709-ad3771368355','458cf00b-5af1-430a-86ee-b159f638be40',17,'finding','2026-11-25 09:00:27.000000',NULL,NULL,'ac_ant','right',NULL,3,NULL,NULL,NULL,NULL,0.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('22b89214-74e5-48b8-8b1a-f6c90adcc8c8','458cf00b-5af1-430a-86ee-b159f638be40',18,'finding','2026-11-25 09:00:28.000000',NULL,NULL,'sc_inf_lat','right',NULL,3,NULL,NULL,NULL,NULL,0.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('83d4f849-da69-45b9-b303-f969dbc46d1d','458cf00b-5af1-430a-86ee-b159f638be40',19,'finding','2026-11-25 09:00:29.000000',NULL,NULL,'er_lag','right',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'negative',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('de15d2d2-893b-41a5-b474-8f2575661070','458cf00b-5af1-430a-86ee-b159f638be40',20,'finding','2026-11-25 09:00:30.000000',NULL,NULL,'empty_can','right',NULL,NULL,NULL,NULL,NULL,NULL,4.0,NULL,NULL,NULL,'unclear',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('b34f4b7a-189a-4fc0-b197-06b4bfdaf272','458cf00b-5af1-430a-86ee-b159f638be40',21,'finding','2026-11-25 09:00:31.000000',NULL,NULL,'iso_er','right',NULL,NULL,NULL,NULL,NULL,NULL,2.0,NULL,NULL,NULL,NULL,NULL,5,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('f4b3eb7d-bbe7-4b34-8fb4-4e60e2940117','458cf00b-5af1-430a-86ee-b159f638be40',22,'treatment','2026-11-25 09:00:32.000000',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'','posterior glide in side-lying','grade III 3 x 60 s');
INSERT INTO "entry" VALUES('3920333a-6c4d-463f-9366-df1930e50f1e','458cf00b-5af1-430a-86ee-b159f638be40',23,'treatment','2026-11-25 09:00:33.000000',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'','thoracic extension glide T5','grade III 2 x 60 s');
INSERT INTO "entry" VALUES('16722d26-9b0e-4fb5-a7b4-4e2c3228b92d','458cf00b-5af1-430a-86ee-b159f638be40',24,'retest','2026-11-25 09:00:34.000000',NULL,NULL,'gh_er_0','right',NULL,NULL,NULL,43.0,'deg',65.0,3.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('d82ece26-17e5-480c-b492-8e5e4a3a5168','458cf00b-5af1-430a-86ee-b159f638be40',25,'retest','2026-11-25 09:00:35.000000',NULL,NULL,'act_abduction','right',NULL,NULL,NULL,128.0,'deg',170.0,4.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('ac949bdd-f251-470e-91bc-8891373c1d1e','458cf00b-5af1-430a-86ee-b159f638be40',26,'retest','2026-11-25 09:00:36.000000',NULL,NULL,'gh_post','right',NULL,2,NULL,NULL,NULL,NULL,3.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('e82f7ba1-4f9b-4fe2-b808-b3c58dc17a42','808ef9e8-4aea-42a0-a789-0a2a0064e107',1,'finding','2026-11-25 09:00:49.000000',NULL,NULL,'gh_post','left',NULL,2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('69530f49-b07b-4761-89cf-5ac82243171e','808ef9e8-4aea-42a0-a789-0a2a0064e107',2,'finding','2026-11-25 09:00:51.000000','e82f7ba1-4f9b-4fe2-b808-b3c58dc17a42',NULL,'gh_post','left',NULL,3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('0d792d2d-dfae-4be3-b43e-27960696e7ab','808ef9e8-4aea-42a0-a789-0a2a0064e107',3,'finding','2026-11-25 09:00:55.000000',NULL,NULL,'gh_inf','left',NULL,2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('e9d1ebef-6415-4d15-b8ad-2bfefe7716d7','808ef9e8-4aea-42a0-a789-0a2a0064e107',4,'retraction','2026-11-25 09:00:57.000000',NULL,'0d792d2d-dfae-4be3-b43e-27960696e7ab',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('14164e78-42f9-4f73-89ec-2116523940c3','808ef9e8-4aea-42a0-a789-0a2a0064e107',5,'retraction','2026-11-25 09:00:59.000000',NULL,'e9d1ebef-6415-4d15-b8ad-2bfefe7716d7',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('a516df9a-c8b4-46b3-920f-0e949bc7b75b','808ef9e8-4aea-42a0-a789-0a2a0064e107',6,'finding','2026-11-25 09:01:01.000000',NULL,NULL,'gh_ant','left',NULL,3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('05ed3791-5e07-4ccc-96f2-f0f79f399cc0','808ef9e8-4aea-42a0-a789-0a2a0064e107',7,'retraction','2026-11-25 09:01:03.000000',NULL,'a516df9a-c8b4-46b3-920f-0e949bc7b75b',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "entry" VALUES('0773b7c4-b98b-44c4-b9d6-8838c9f27a77','808ef9e8-4aea-42a0-a789-0a2a0064e107',8,'treatment','2026-11-25 09:01:07.000000',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'well borne','posterior glide','grade 3, 2 x 60 s');
INSERT INTO "entry" VALUES('7f85bbd3-d59c-4ba9-bf98-b549426c4e01','808ef9e8-4aea-42a0-a789-0a2a0064e107',9,'retest','2026-11-25 09:01:09.000000',NULL,NULL,'gh_post','left',NULL,3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
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
INSERT INTO "episode" VALUES('28900977-ede8-47c1-9d7c-67c92ca41905','ba5d6a82-f97b-4580-aa4f-6ca937a5c8b1','Sore, stiff right shoulder, first visit','right','gradual',16.0,'moderate','["lateral", "deep", "interscapular"]','Reaching overhead, fastening at the back and lying on the right hurt. Eases with rest in an hour. No injury.','2026-11-25 09:00:02.000000');
INSERT INTO "episode" VALUES('89d870f7-c11e-4f14-be5c-7ffda6857355','00973ce5-4213-47d8-be19-14e6a730722d','left shoulder','left','gradual',8.0,'low','["lateral"]','Invented for the tests; it''s "quoted".','2026-11-25 09:00:40.000000');
CREATE TABLE learning_class (
	id VARCHAR(36) NOT NULL, 
	name VARCHAR(200) NOT NULL, 
	teacher VARCHAR(200) NOT NULL, 
	join_code VARCHAR(12) NOT NULL, 
	opened_at DATETIME NOT NULL, 
	CONSTRAINT pk_learning_class PRIMARY KEY (id), 
	CONSTRAINT uq_learning_class_join_code UNIQUE (join_code)
);
CREATE TABLE outcome_answer (
	number INTEGER NOT NULL, 
	id VARCHAR(36) NOT NULL, 
	visit_id VARCHAR(36) NOT NULL, 
	at DATETIME NOT NULL, 
	takes_back VARCHAR(36), 
	measure VARCHAR(40), 
	answered_on DATE, 
	answers JSON NOT NULL, 
	total DOUBLE, 
	occasion VARCHAR(12), 
	activities JSON NOT NULL, 
	answering VARCHAR(12), 
	instrument VARCHAR(60) NOT NULL, 
	note TEXT NOT NULL, 
	CONSTRAINT pk_outcome_answer PRIMARY KEY (number), 
	CONSTRAINT ck_outcome_answer_occasion CHECK (occasion IS NULL OR occasion IN ('rest', 'movement', 'night', 'worst', 'usual', 'since_start', 'since_last')), 
	CONSTRAINT ck_outcome_answer_answering CHECK (answering IS NULL OR answering IN ('person', 'read_aloud', 'proxy', 'clinician')), 
	CONSTRAINT ck_outcome_answer_shape CHECK ((takes_back IS NULL) = (measure IS NOT NULL) AND (takes_back IS NULL) = (answered_on IS NOT NULL) AND (takes_back IS NULL) = (answering IS NOT NULL) AND (takes_back IS NULL OR total IS NULL)), 
	CONSTRAINT fk_outcome_answer_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id) ON DELETE CASCADE, 
	CONSTRAINT uq_outcome_answer_id UNIQUE (id)
);
INSERT INTO "outcome_answer" VALUES(1,'f3f862b8-75f9-4142-978d-a6b488875562','458cf00b-5af1-430a-86ee-b159f638be40','2026-11-26 07:53:03.433629',NULL,'nprs','2026-11-26','[6.0]',NULL,'rest','[]','person','','');
CREATE TABLE passkey (
	id TEXT NOT NULL, 
	staff_id VARCHAR(36) NOT NULL, 
	public_key TEXT NOT NULL, 
	uses INTEGER NOT NULL, 
	name VARCHAR(80) NOT NULL, 
	added_at DATETIME NOT NULL, 
	CONSTRAINT pk_passkey PRIMARY KEY (id), 
	CONSTRAINT fk_passkey_staff_id_staff FOREIGN KEY(staff_id) REFERENCES staff (id)
);
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
INSERT INTO "person" VALUES('ba5d6a82-f97b-4580-aa4f-6ca937a5c8b1','Sore, stiff right shoulder, first visit',54,'female','right',1,'2026-11-25 09:00:01.000000');
INSERT INTO "person" VALUES('00973ce5-4213-47d8-be19-14e6a730722d','Invented, signed',52,'male','left',1,'2026-11-25 09:00:38.000000');
CREATE TABLE preference (
	number INTEGER NOT NULL, 
	visit_id VARCHAR(36) NOT NULL, 
	kind VARCHAR(12) NOT NULL, 
	word VARCHAR(60) NOT NULL, 
	holds BOOLEAN NOT NULL, 
	at DATETIME NOT NULL, 
	CONSTRAINT pk_preference PRIMARY KEY (number), 
	CONSTRAINT ck_preference_kind CHECK (kind IS NULL OR kind IN ('refuse', 'instrument', 'rater')), 
	CONSTRAINT fk_preference_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id) ON DELETE CASCADE
);
INSERT INTO "preference" VALUES(1,'458cf00b-5af1-430a-86ee-b159f638be40','refuse','thrust',1,'2026-11-26 07:53:03.502028');
CREATE TABLE presented (
	id VARCHAR(36) NOT NULL, 
	visit_id VARCHAR(36) NOT NULL, 
	kind VARCHAR(12) NOT NULL, 
	words JSON NOT NULL, 
	staff_id VARCHAR(36) NOT NULL, 
	at DATETIME NOT NULL, 
	outcome VARCHAR(10), 
	remark TEXT NOT NULL, 
	settled_by VARCHAR(200), 
	settled_at DATETIME, 
	CONSTRAINT pk_presented PRIMARY KEY (id), 
	CONSTRAINT ck_presented_outcome CHECK (outcome IS NULL OR outcome IN ('signed', 'returned')), 
	CONSTRAINT fk_presented_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id) ON DELETE CASCADE, 
	CONSTRAINT fk_presented_staff_id_staff FOREIGN KEY(staff_id) REFERENCES staff (id)
);
CREATE TABLE purge (
	person_id VARCHAR(36) NOT NULL, 
	at DATETIME NOT NULL, rule VARCHAR(80), kept_until DATETIME, 
	CONSTRAINT pk_purge PRIMARY KEY (person_id), 
	CONSTRAINT fk_purge_person_id_person FOREIGN KEY(person_id) REFERENCES person (id) ON DELETE CASCADE
);
CREATE TABLE recovery_code (
	number INTEGER NOT NULL, 
	staff_id VARCHAR(36) NOT NULL, 
	hash VARCHAR(64) NOT NULL, 
	used_at DATETIME, 
	CONSTRAINT pk_recovery_code PRIMARY KEY (number), 
	CONSTRAINT fk_recovery_code_staff_id_staff FOREIGN KEY(staff_id) REFERENCES staff (id)
);
CREATE TABLE screen_answer (
	number INTEGER NOT NULL, 
	visit_id VARCHAR(36) NOT NULL, 
	cue VARCHAR(60) NOT NULL, 
	answer BOOLEAN, 
	answered_at DATETIME NOT NULL, 
	CONSTRAINT pk_screen_answer PRIMARY KEY (number), 
	CONSTRAINT fk_screen_answer_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id) ON DELETE CASCADE
);
INSERT INTO "screen_answer" VALUES(1,'458cf00b-5af1-430a-86ee-b159f638be40','trauma_recent',0,'2026-11-25 09:00:04.000000');
INSERT INTO "screen_answer" VALUES(2,'458cf00b-5af1-430a-86ee-b159f638be40','fever_unwell',0,'2026-11-25 09:00:05.000000');
INSERT INTO "screen_answer" VALUES(3,'458cf00b-5af1-430a-86ee-b159f638be40','cancer_history',0,'2026-11-25 09:00:06.000000');
INSERT INTO "screen_answer" VALUES(4,'458cf00b-5af1-430a-86ee-b159f638be40','night_pain_unremitting',0,'2026-11-25 09:00:07.000000');
INSERT INTO "screen_answer" VALUES(5,'458cf00b-5af1-430a-86ee-b159f638be40','weight_loss_fatigue',0,'2026-11-25 09:00:08.000000');
INSERT INTO "screen_answer" VALUES(6,'458cf00b-5af1-430a-86ee-b159f638be40','stiff_at_once',0,'2026-11-25 09:00:09.000000');
INSERT INTO "screen_answer" VALUES(7,'458cf00b-5af1-430a-86ee-b159f638be40','chest_tight',0,'2026-11-25 09:00:10.000000');
INSERT INTO "screen_answer" VALUES(8,'808ef9e8-4aea-42a0-a789-0a2a0064e107','fever_unwell',0,'2026-11-25 09:00:45.000000');
INSERT INTO "screen_answer" VALUES(9,'808ef9e8-4aea-42a0-a789-0a2a0064e107','new_mass',1,'2026-11-25 09:00:45.000000');
INSERT INTO "screen_answer" VALUES(10,'808ef9e8-4aea-42a0-a789-0a2a0064e107','fever_unwell',NULL,'2026-11-25 09:00:47.000000');
CREATE TABLE sign_in (
	id VARCHAR(64) NOT NULL, 
	staff_id VARCHAR(36), 
	second BOOLEAN NOT NULL, 
	challenge VARCHAR(200), 
	browser VARCHAR(200) NOT NULL, 
	began_at DATETIME NOT NULL, 
	seen_at DATETIME NOT NULL, 
	CONSTRAINT pk_sign_in PRIMARY KEY (id), 
	CONSTRAINT fk_sign_in_staff_id_staff FOREIGN KEY(staff_id) REFERENCES staff (id)
);
CREATE TABLE signed_document (
	id VARCHAR(36) NOT NULL, 
	visit_id VARCHAR(36) NOT NULL, 
	kind VARCHAR(12) NOT NULL, 
	recipient VARCHAR(200) NOT NULL, 
	signed_by VARCHAR(200) NOT NULL, 
	signed_at DATETIME NOT NULL, 
	document JSON NOT NULL, 
	release VARCHAR(64) NOT NULL, 
	program_version VARCHAR(40) NOT NULL, 
	CONSTRAINT pk_signed_document PRIMARY KEY (id), 
	CONSTRAINT ck_signed_document_kind CHECK (kind IS NULL OR kind IN ('referral', 'discharge', 'insurer', 'handout')), 
	CONSTRAINT fk_signed_document_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id), 
	CONSTRAINT uq_signed_document_visit_id_kind_recipient UNIQUE (visit_id, kind, recipient)
);
INSERT INTO "signed_document" VALUES('d9000000-0000-4000-8000-000000000001','808ef9e8-4aea-42a0-a789-0a2a0064e107','referral','The surgeon','A. Therapist','2026-11-25 09:01:10.000000','{"form": 1, "title": "Shoulder girdle: examination note", "subtitle": "Invented, signed \u00b7 left shoulder girdle \u00b7 INVENTED EXAMPLE, no real person", "status": "Signed by A. Therapist, 2026-11-25 09:01 UTC", "signed": true, "invented": true, "sections": [{"id": "safety", "heading": "Safety", "blocks": [{"kind": "text", "text": "Safety verdict: urgent. Refer so that the person is seen within days to two weeks (local suspected-cancer or acute-shoulder route where one exists). Suspected-cancer route; no thrust or strong force near the site; explain plainly and do not reassure falsely.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "text", "text": "Overridden by A. Therapist. Recorded reason: A known lipoma, seen last week.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "table", "text": "", "items": [], "columns": ["Raised", "Urgency", "Because", "What to do"], "rows": [["Primary or secondary bone or soft tissue tumour [1] (practice)", "urgent", "A new lump, swelling or enlarged node? (answered yes)", "Suspected-cancer route; no thrust or strong force near the site; explain plainly and do not reassure falsely."]], "tone": "plain", "points": [], "alt": ""}], "tone": "alert"}, {"id": "story", "heading": "Person and story", "blocks": [{"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Age", "52"], ["Sex", "male"], ["Dominant side", "left"], ["Side of complaint", "left"], ["Onset", "gradual, 8 weeks ago"], ["Irritability", "low"], ["Areas", "outer side of the shoulder"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Invented for the tests; it''s \"quoted\".", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "screen", "heading": "Screen", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Precaution", "Because", "Hands", "Label"], "rows": [["Malignant or unknown bone lesion in the region [2]", "new mass (answered yes)", "Refer; benign tumours are relative; contraindicated; contraindicated", "read"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Answered yes:", "items": ["A new lump, swelling or enlarged node?"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "", "items": [], "columns": ["Screen", "Question", "Answer"], "rows": [["Cancer", "Ever had cancer, a new lump, weight loss, or pain at night that nothing eases?", "YES"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "UNANSWERED: injury, infection, nerves, spinal cord, neck and head, heart and great vessels, lungs, abdomen, arm circulation, joints and inflammation, bones and medicines, looked at and felt, known before, feeling safe.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "168 of 169 single screening questions are unanswered. Unanswered is not no.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "baseline", "heading": "Baseline: active motion", "blocks": [{"kind": "text", "text": "No baseline was recorded.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "findings", "heading": "Findings by region", "blocks": [{"kind": "table", "text": "Glenohumeral joint", "items": [], "columns": ["Procedure", "Where", "Found"], "rows": [["Posterior glide in the resting position", "left", "3/6 normal"], ["Inferior glide in the resting position", "left", "2/6 slightly hypomobile"]], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "reasoning", "heading": "Reasoning", "blocks": [{"kind": "text", "text": "The safety verdict comes first; these figures do not weigh it.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "chart", "text": "Probability of each contributor with its 90 % interval", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [["Cuff-related pain, left", 0.6580188679245278, 0.337575505391379, 0.9204295035654427], ["Frozen shoulder, left", 0.36238362283902087, 0.06265136081326989, 0.9044192451655753], ["Poor scapular control, left", 0.2999999999999997, 0.07416114120020048, 0.5456249767132992], ["Short pectoralis minor, left", 0.2199999999999999, 0.02657778616834691, 0.5548008483181145], ["Short levator scapulae or upper trapezius, left", 0.2199999999999999, 0.035935649935336274, 0.5148861860947824], ["Lower trapezius weakness, left", 0.19999999999999987, 0.020614901862901238, 0.549407554500918], ["Serratus anterior weakness, left", 0.17999999999999988, 0.015062086282698612, 0.45008734539573975], ["Muscle pain about the shoulder blade, left", 0.16999999999999996, 0.046063101304565174, 0.30548892858279536]], "alt": "Probability with 90 % interval: Cuff-related pain, left 66 % (34 to 92 %); Frozen shoulder, left 36 % (6 to 90 %); Poor scapular control, left 30 % (7 to 55 %); Short pectoralis minor, left 22 % (3 to 55 %); Short levator scapulae or upper trapezius, left 22 % (4 to 51 %); Lower trapezius weakness, left 20 % (2 to 55 %); Serratus anterior weakness, left 18 % (2 to 45 %); Muscle pain about the shoulder blade, left 17 % (5 to 31 %)"}, {"kind": "table", "text": "", "items": [], "columns": ["Contributor", "Probability", "90 % interval", "Before the findings"], "rows": [["Cuff-related pain, left", "66 %", "34 % to 92 %", "66 %"], ["Frozen shoulder (global capsular contracture), left", "36 %", "6 % to 90 %", "27 %"], ["Poor scapular control, left", "30 %", "7 % to 55 %", "30 %"], ["Short pectoralis minor, left", "22 %", "3 % to 55 %", "22 %"], ["Short levator scapulae or upper trapezius, left", "22 %", "4 % to 51 %", "22 %"], ["Lower trapezius weakness, left", "20 %", "2 % to 55 %", "20 %"], ["Serratus anterior weakness, left", "18 %", "2 % to 45 %", "18 %"], ["Muscle pain about the shoulder blade, left", "17 %", "5 % to 31 %", "17 %"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Cuff-related pain, left, because:", "items": ["Story: pain at the outer side: for it, +2.6 decibans (practice)"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Frozen shoulder (global capsular contracture), left, because:", "items": ["Story: frozen shoulder peaks between 40 and 65; gradual onset is usual, and usual among all who come; pain at the outer side, deep, or in the upper arm, as in most who come: for it, +3.8 decibans (practice)", "Inferior glide in the resting position (left): grade 2, slightly hypomobile: for it, +3.4 decibans (practice [3, 4])", "Posterior glide in the resting position (left): grade 3, normal: against it, \u22121.8 decibans (practice [3, 4])"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "What would change this:", "items": ["Coracoid pressure pain compared with AC and lateral subacromial points (left) pain: frozen shoulder (global capsular contracture) would lead", "Belly press (left) positive: frozen shoulder (global capsular contracture) would lead", "Posterior jerk test (left) positive: frozen shoulder (global capsular contracture) would lead"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Probabilities are conditional on the evidence of this release, which is often weak. Several contributors at once are the rule; the figures do not add up to 100 %. The interval includes the uncertainty of the evidence. No combination was left out.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "articular", "heading": "Joint or soft tissue", "blocks": [{"kind": "text", "text": "No restricted angular motion was recorded.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "decision", "heading": "What it calls for", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Course", "Expected gain, points", "Needed", "For", "What it may cost; sources"], "rows": [["Mobilise the joint (shoulder joint, left)", "+3.8 (\u22124.7 to +14.8)", "67 %", "frozen shoulder (global capsular contracture) 36 %, tight inferior capsule 14 %", "Soreness for a day or two, time not spent on loading (practice [5, 6, 7, 8])"], ["Advice and time", "0", "always open", "", "what the others are measured against"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "By the story alone, not examined: load the tendons and muscles (shoulder joint, left); mobilise the joint (mid-thorax and ribs); load the tendons and muscles (shoulder blade, left); lengthen the short muscles (shoulder blade, left); train the control of the shoulder blade (shoulder blade, left).", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Points of 100 on a scale of pain and disability at about twelve weeks, against advice and time: a judgement that rests on trials of other people. It supports your choice with the person; it does not make it.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "treatment", "heading": "Treatment tried and re-test", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Technique", "Dose", "Response"], "rows": [["posterior glide", "grade 3, 2 x 60 s", "well borne"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "Re-tests", "items": [], "columns": ["Re-test", "Recorded", "Before", "After", "Verdict"], "rows": [["Posterior glide in the resting position, left", "mobility", "3/6", "3/6", "no difference"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Error figures used:", "items": ["Accessory motion, 0 to 6: taken for examiner error by custom 1 grade (practice; one grade, by custom; no published smallest detectable change; manual grading) [5]. Grades by hand agree poorly; the limit of one grade is common practice, not a measured error; the error figure is practice, not read; no figure for how much change matters to people is in the evidence."], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "plan", "heading": "Plan", "blocks": [{"kind": "text", "text": "The safety verdict was overridden; its reason stands in the safety screen.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "list", "text": "Not to be done:", "items": ["Hands off until cleared: Primary or secondary bone or soft tissue tumour: Upper limb neurodynamic test, median bias, Upper limb neurodynamic test, radial bias, Upper limb neurodynamic test, ulnar bias, Elevated arm stress test (hands open and close), Trapezius shrug and scapular flip sign, Bone-conduction comparison (olecranon tap, stethoscope on manubrium), Foraminal compression (side-flexion with axial load), Neck distraction, Arm-on-head relief, Thoracic extension correction with arm elevation re-test, Skin-mark flexion ratio C7 to T5, Scapular assistance during arm elevation, Scapular reposition with resisted elevation, Scapular distance to spine in three arm positions, Pectoralis minor length, Levator scapulae length, Latissimus dorsi length, Scapular hold against diagonal resistance in side-lying, AC compression (hands clasped front and back), Cross-body adduction with overpressure, Active compression test, Resisted horizontal extension at 90 degrees, Load and shift, anterior, Load and shift, posterior, Sulcus sign, neutral rotation, Sulcus sign in lateral rotation, Hyperabduction with scapula held, Anterior apprehension, Relocation, Release (surprise) test, Posterior jerk test, Posteroinferior labral load test, Posterior apprehension, Generalised laxity score (0 to 9), Passive flexion in medial rotation with scapula held, Medial rotation at 90 degrees flexion, Resisted elevation, thumb down, Resisted elevation, thumb up, Drop-arm lowering, Lateral rotation lag at the side, Lateral rotation lag at 90 degrees, Lateral rotation strength at 90 degrees scaption, Medial rotation lag (lift-off hold), Belly press, Bear hug, Shrug sign on active elevation, Resisted flexion, forearm supinated, Resisted supination with lateral rotation, Resisted elbow flexion at 120 degrees abduction, Axial load with rotation in elevation, Medial against lateral rotation strength at 90/80 degrees, Coracoid pressure pain compared with AC and lateral subacromial points, Isometric abduction at the side, Isometric lateral rotation at the side, Isometric medial rotation at the side, Isometric flexion, Isometric extension, Isometric adduction, Isometric elbow flexion and supination, Lateral rotation force by hand-held dynamometer, Medial rotation force by hand-held dynamometer, Abduction force by hand-held dynamometer, Lower trapezius strength, Middle trapezius strength, Serratus anterior strength, Rhythmic stabilisation of the GH joint in side-lying", "Hands off until cleared: Primary or secondary bone or soft tissue tumour; precaution: malignant or unknown bone lesion in the region: Neck motion with gentle overpressure, Cervical rotation then side-flexion (first-rib test), Lower neck segmental palpation C5 to C7, Segmental extension glide, bilateral, Segmental extension glide, unilateral, upper side, Segmental extension glide, unilateral, lower side, Segmental flexion glide, Segmental rotation, Segmental side-flexion, Central posteroanterior pressure, Unilateral posteroanterior pressure over the facet, Transverse pressure on the spinous process, Rib springing at the angle T3 to T7, Anteroposterior pressure at the costosternal joints, Lateral rib springing in side-lying, Passive thoracic rotation, whole region, Passive thoracic side-flexion over a roll, Thoracic distraction, Cervicothoracic extension glide, bilateral, Cervicothoracic extension glide, unilateral, Cervicothoracic flexion glide, Cervicothoracic segmental rotation, Cervicothoracic segmental side-flexion, Cervicothoracic posteroanterior pressure, Cervicothoracic transverse pressure, First-rib caudal glide, First-rib spring on breathing out, Second-rib glide, Passive scapular elevation, Passive scapular depression, Passive scapular protraction, Passive scapular retraction, Passive upward rotation, Passive downward rotation, Passive posterior tilt, Passive anterior tilt, Passive lateral (external) rotation of the blade, Passive medial (internal) rotation of the blade, Diagonal: anterior elevation, Diagonal: posterior depression, Diagonal: posterior elevation, Diagonal: anterior depression, Scapular lift from the thorax, Scapular circles, crepitus and quality, Medial clavicle inferior-lateral glide, Medial clavicle superior-medial glide, Medial clavicle anterior glide, Medial clavicle posterior glide, Posterior rotation of the clavicle with scapular depression and retraction, Anterior rotation of the clavicle with scapular protraction, Lateral traction of the clavicle, SC anterior stability stress, Costoclavicular ligament stress (girdle elevation hold), SC motion felt during passive arm elevation, Acromion anterior glide on fixed clavicle, Acromion posterior glide on fixed clavicle, Lateral clavicle inferior glide (spring), Lateral clavicle anteroposterior glide, AC distraction through the arm, Clavicle rotation on fixed scapula, Conoid ligament stress (scapula lateral rotation with clavicle held), Trapezoid ligament stress (scapula medial rotation with clavicle held), Passive GH flexion, scapula held, Passive GH abduction, scapula held, Passive lateral rotation at the side, Passive lateral rotation at 45 degrees abduction, Passive lateral rotation at 90 degrees abduction, Passive medial rotation at 90 degrees abduction, scapula held, Passive medial rotation in side-lying on the tested side, 90 degrees flexion, Passive hand behind back, Passive horizontal adduction, scapula held, Passive horizontal abduction, Passive extension, Low flexion test (medial rotation at 60 degrees flexion), Passive total elevation, girdle free, Combined end-range (abduction, rotation swept) position, Lateral rotation and abduction with scapula free then held, Contract-relax then re-measure lateral rotation and abduction, Posterior glide in the resting position, Posterior glide at 90 degrees flexion, Posterior glide in end-range abduction and lateral rotation, Anterior glide in the resting position, Anterior glide at 90 degrees abduction with lateral rotation, Inferior glide in the resting position, Inferior glide at 90 degrees abduction or end range, Longitudinal caudad along the humerus, Lateral distraction in the treatment plane, Lateral distraction in flexion, Posterior-superior and anterior-inferior diagonal glides, Compression with small glide, Capsule stress: arm neutral, lateral rotation, Capsule stress: arm neutral, medial rotation, Capsule stress: arm neutral, inferior pull, Capsule stress: 45 degrees abduction, lateral rotation, Capsule stress: 90 degrees abduction, lateral rotation, Capsule stress: 90 degrees abduction, medial rotation, Capsule stress: 90 degrees flexion, lateral rotation, Capsule stress: 90 degrees flexion, medial rotation, Capsule stress: extension, lateral rotation, Capsule stress: extension, medial rotation, Capsule stress: horizontal adduction, medial rotation"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Next test: Active lateral rotation at the side, left, side-lying, 30 s. Tells most about frozen shoulder (global capsular contracture) (36% now, 62% if 20 degrees or more lost, 19% if not)", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "Rest of the examination (first 12 of 27 steps)", "items": [], "columns": ["Procedure, in order", "Where", "Position", "Time"], "rows": [["Light touch C4 to T2 and deltoid patch", "left", "side-lying", "60 s"], ["Active extension", "left", "side-lying", "30 s"], ["Active thoracic rotation", "left", "side-lying", "45 s"], ["Active abduction in side-lying from the side to overhead", "left", "side-lying", "30 s"], ["Bicipital groove palpation", "left", "side-lying", "10 s"], ["Coracoid palpation", "left", "side-lying", "10 s"], ["Greater tuberosity and supraspinatus insertion palpation", "left", "side-lying", "10 s"], ["Infraspinatus and teres minor muscle palpation", "left", "side-lying", "20 s"], ["Posterior joint line palpation", "left", "side-lying", "10 s"], ["Latissimus, teres major and axillary fold palpation", "left", "side-lying", "15 s"], ["Pectoralis minor palpation", "left", "side-lying", "15 s"], ["Upper trapezius and levator palpation", "left", "side-lying", "20 s"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Time", "16 min"], ["Changes of position", "2"], ["Left out", "168 procedures"]], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "cautions", "heading": "Cautions", "blocks": [{"kind": "list", "text": "", "items": ["Supports licensed clinicians and supervised students; it does not diagnose and does not decide.", "Emergency and referral rules come first. If in doubt, stop and refer.", "Thrust techniques need their own screening and the person''s consent.", "Local law, professional codes, scope of practice and data-protection rules prevail.", "Probabilities depend on evidence that is often weak; every figure says whether it was read, recalled or is common practice."], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "quiet"}, {"id": "origin", "heading": "Program and evidence", "blocks": [{"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Program", "Endfeel 0.1.0"], ["Evidence release", "4b1c288cea92"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Labels: read = seen at the address given; memory = recalled, not checked; practice = common practice or judgement, no publication. Numbers in square brackets are the sources below.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "quiet"}], "sources": [{"number": 1, "citation": "Primary-care red flags for the shoulder, summarising Rangan 2015 and Murphy & Bintcliffe BMJ 2023;382:p1255", "address": "https://nursing-notebook.com/simplepage.cfm?ID=x2023071084948560864&linkID=82813"}, {"number": 2, "citation": "Best-practice table: possible contraindications to manipulation or mobilisation. J Altern Complement Med 2019", "address": "https://chiro.org/Graphics_Box_RESEARCH/GRAPHICS_19/BEST_PRACTICES/Table_9.html"}, {"number": 3, "citation": "Common practice of the trade", "address": ""}, {"number": 4, "citation": "Computed by the mechanical shoulder of this program from mechanical_changes.csv, mechanical_tests.csv and the anatomy they rest on (endfeel links)", "address": ""}, {"number": 5, "citation": "common practice of the trade, no publication", "address": ""}, {"number": 6, "citation": "Desjardins-Charbonneau 2015", "address": "https://doi.org/10.2519/jospt.2015.5455"}, {"number": 7, "citation": "Satpute 2022 J Man Manip Ther 30:13-32", "address": "https://doi.org/10.1080/10669817.2021.1955181"}, {"number": 8, "citation": "Page 2016 Cochrane CD012224", "address": "https://doi.org/10.1002/14651858.CD012224"}], "footer": "Supports licensed clinicians; does not diagnose. Emergency and referral rules come first. Local rules prevail.", "release": "4b1c288cea92", "program_version": "0.1.0", "written_at": "2026-11-25 09:01 UTC", "language": "en"}','4b1c288cea92','0.1.0');
CREATE TABLE signed_note (
	id VARCHAR(36) NOT NULL, 
	visit_id VARCHAR(36) NOT NULL, 
	signed_by VARCHAR(200) NOT NULL, 
	signed_at DATETIME NOT NULL, 
	case_text TEXT NOT NULL, 
	note JSON NOT NULL, 
	release VARCHAR(64) NOT NULL, 
	program_version VARCHAR(40) NOT NULL, last_story INTEGER, 
	CONSTRAINT pk_signed_note PRIMARY KEY (id), 
	CONSTRAINT fk_signed_note_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id), 
	CONSTRAINT uq_signed_note_visit_id UNIQUE (visit_id)
);
INSERT INTO "signed_note" VALUES('6f9a5f5d-aee8-4020-8d53-d50b1f8e6dc6','808ef9e8-4aea-42a0-a789-0a2a0064e107','A. Therapist','2026-11-25 09:01:10.000000','title: left shoulder
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
','{"form": 1, "title": "Shoulder girdle: examination note", "subtitle": "Invented, signed \u00b7 left shoulder girdle \u00b7 INVENTED EXAMPLE, no real person", "status": "Signed by A. Therapist, 2026-11-25 09:01 UTC", "signed": true, "invented": true, "sections": [{"id": "safety", "heading": "Safety", "blocks": [{"kind": "text", "text": "Safety verdict: urgent. Refer so that the person is seen within days to two weeks (local suspected-cancer or acute-shoulder route where one exists). Suspected-cancer route; no thrust or strong force near the site; explain plainly and do not reassure falsely.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "text", "text": "Overridden by A. Therapist. Recorded reason: A known lipoma, seen last week.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "table", "text": "", "items": [], "columns": ["Raised", "Urgency", "Because", "What to do"], "rows": [["Primary or secondary bone or soft tissue tumour [1] (practice)", "urgent", "A new lump, swelling or enlarged node? (answered yes)", "Suspected-cancer route; no thrust or strong force near the site; explain plainly and do not reassure falsely."]], "tone": "plain", "points": [], "alt": ""}], "tone": "alert"}, {"id": "story", "heading": "Person and story", "blocks": [{"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Age", "52"], ["Sex", "male"], ["Dominant side", "left"], ["Side of complaint", "left"], ["Onset", "gradual, 8 weeks ago"], ["Irritability", "low"], ["Areas", "outer side of the shoulder"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Invented for the tests; it''s \"quoted\".", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "screen", "heading": "Screen", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Precaution", "Because", "Hands", "Label"], "rows": [["Malignant or unknown bone lesion in the region [2]", "new mass (answered yes)", "Refer; benign tumours are relative; contraindicated; contraindicated", "read"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Answered yes:", "items": ["A new lump, swelling or enlarged node?"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "", "items": [], "columns": ["Screen", "Question", "Answer"], "rows": [["Cancer", "Ever had cancer, a new lump, weight loss, or pain at night that nothing eases?", "YES"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "UNANSWERED: injury, infection, nerves, spinal cord, neck and head, heart and great vessels, lungs, abdomen, arm circulation, joints and inflammation, bones and medicines, looked at and felt, known before, feeling safe.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "168 of 169 single screening questions are unanswered. Unanswered is not no.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "baseline", "heading": "Baseline: active motion", "blocks": [{"kind": "text", "text": "No baseline was recorded.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "findings", "heading": "Findings by region", "blocks": [{"kind": "table", "text": "Glenohumeral joint", "items": [], "columns": ["Procedure", "Where", "Found"], "rows": [["Posterior glide in the resting position", "left", "3/6 normal"], ["Inferior glide in the resting position", "left", "2/6 slightly hypomobile"]], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "reasoning", "heading": "Reasoning", "blocks": [{"kind": "text", "text": "The safety verdict comes first; these figures do not weigh it.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "chart", "text": "Probability of each contributor with its 90 % interval", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [["Cuff-related pain, left", 0.6580188679245278, 0.337575505391379, 0.9204295035654427], ["Frozen shoulder, left", 0.36238362283902087, 0.06265136081326989, 0.9044192451655753], ["Poor scapular control, left", 0.2999999999999997, 0.07416114120020048, 0.5456249767132992], ["Short pectoralis minor, left", 0.2199999999999999, 0.02657778616834691, 0.5548008483181145], ["Short levator scapulae or upper trapezius, left", 0.2199999999999999, 0.035935649935336274, 0.5148861860947824], ["Lower trapezius weakness, left", 0.19999999999999987, 0.020614901862901238, 0.549407554500918], ["Serratus anterior weakness, left", 0.17999999999999988, 0.015062086282698612, 0.45008734539573975], ["Muscle pain about the shoulder blade, left", 0.16999999999999996, 0.046063101304565174, 0.30548892858279536]], "alt": "Probability with 90 % interval: Cuff-related pain, left 66 % (34 to 92 %); Frozen shoulder, left 36 % (6 to 90 %); Poor scapular control, left 30 % (7 to 55 %); Short pectoralis minor, left 22 % (3 to 55 %); Short levator scapulae or upper trapezius, left 22 % (4 to 51 %); Lower trapezius weakness, left 20 % (2 to 55 %); Serratus anterior weakness, left 18 % (2 to 45 %); Muscle pain about the shoulder blade, left 17 % (5 to 31 %)"}, {"kind": "table", "text": "", "items": [], "columns": ["Contributor", "Probability", "90 % interval", "Before the findings"], "rows": [["Cuff-related pain, left", "66 %", "34 % to 92 %", "66 %"], ["Frozen shoulder (global capsular contracture), left", "36 %", "6 % to 90 %", "27 %"], ["Poor scapular control, left", "30 %", "7 % to 55 %", "30 %"], ["Short pectoralis minor, left", "22 %", "3 % to 55 %", "22 %"], ["Short levator scapulae or upper trapezius, left", "22 %", "4 % to 51 %", "22 %"], ["Lower trapezius weakness, left", "20 %", "2 % to 55 %", "20 %"], ["Serratus anterior weakness, left", "18 %", "2 % to 45 %", "18 %"], ["Muscle pain about the shoulder blade, left", "17 %", "5 % to 31 %", "17 %"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Cuff-related pain, left, because:", "items": ["Story: pain at the outer side: for it, +2.6 decibans (practice)"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Frozen shoulder (global capsular contracture), left, because:", "items": ["Story: frozen shoulder peaks between 40 and 65; gradual onset is usual, and usual among all who come; pain at the outer side, deep, or in the upper arm, as in most who come: for it, +3.8 decibans (practice)", "Inferior glide in the resting position (left): grade 2, slightly hypomobile: for it, +3.4 decibans (practice [3, 4])", "Posterior glide in the resting position (left): grade 3, normal: against it, \u22121.8 decibans (practice [3, 4])"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "What would change this:", "items": ["Coracoid pressure pain compared with AC and lateral subacromial points (left) pain: frozen shoulder (global capsular contracture) would lead", "Belly press (left) positive: frozen shoulder (global capsular contracture) would lead", "Posterior jerk test (left) positive: frozen shoulder (global capsular contracture) would lead"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Probabilities are conditional on the evidence of this release, which is often weak. Several contributors at once are the rule; the figures do not add up to 100 %. The interval includes the uncertainty of the evidence. No combination was left out.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "articular", "heading": "Joint or soft tissue", "blocks": [{"kind": "text", "text": "No restricted angular motion was recorded.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "decision", "heading": "What it calls for", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Course", "Expected gain, points", "Needed", "For", "What it may cost; sources"], "rows": [["Mobilise the joint (shoulder joint, left)", "+3.8 (\u22124.7 to +14.8)", "67 %", "frozen shoulder (global capsular contracture) 36 %, tight inferior capsule 14 %", "Soreness for a day or two, time not spent on loading (practice [5, 6, 7, 8])"], ["Advice and time", "0", "always open", "", "what the others are measured against"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "By the story alone, not examined: load the tendons and muscles (shoulder joint, left); mobilise the joint (mid-thorax and ribs); load the tendons and muscles (shoulder blade, left); lengthen the short muscles (shoulder blade, left); train the control of the shoulder blade (shoulder blade, left).", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Points of 100 on a scale of pain and disability at about twelve weeks, against advice and time: a judgement that rests on trials of other people. It supports your choice with the person; it does not make it.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "treatment", "heading": "Treatment tried and re-test", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Technique", "Dose", "Response"], "rows": [["posterior glide", "grade 3, 2 x 60 s", "well borne"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "Re-tests", "items": [], "columns": ["Re-test", "Recorded", "Before", "After", "Verdict"], "rows": [["Posterior glide in the resting position, left", "mobility", "3/6", "3/6", "no difference"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Error figures used:", "items": ["Accessory motion, 0 to 6: taken for examiner error by custom 1 grade (practice; one grade, by custom; no published smallest detectable change; manual grading) [5]. Grades by hand agree poorly; the limit of one grade is common practice, not a measured error; the error figure is practice, not read; no figure for how much change matters to people is in the evidence."], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "plan", "heading": "Plan", "blocks": [{"kind": "text", "text": "The safety verdict was overridden; its reason stands in the safety screen.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "list", "text": "Not to be done:", "items": ["Hands off until cleared: Primary or secondary bone or soft tissue tumour: Upper limb neurodynamic test, median bias, Upper limb neurodynamic test, radial bias, Upper limb neurodynamic test, ulnar bias, Elevated arm stress test (hands open and close), Trapezius shrug and scapular flip sign, Bone-conduction comparison (olecranon tap, stethoscope on manubrium), Foraminal compression (side-flexion with axial load), Neck distraction, Arm-on-head relief, Thoracic extension correction with arm elevation re-test, Skin-mark flexion ratio C7 to T5, Scapular assistance during arm elevation, Scapular reposition with resisted elevation, Scapular distance to spine in three arm positions, Pectoralis minor length, Levator scapulae length, Latissimus dorsi length, Scapular hold against diagonal resistance in side-lying, AC compression (hands clasped front and back), Cross-body adduction with overpressure, Active compression test, Resisted horizontal extension at 90 degrees, Load and shift, anterior, Load and shift, posterior, Sulcus sign, neutral rotation, Sulcus sign in lateral rotation, Hyperabduction with scapula held, Anterior apprehension, Relocation, Release (surprise) test, Posterior jerk test, Posteroinferior labral load test, Posterior apprehension, Generalised laxity score (0 to 9), Passive flexion in medial rotation with scapula held, Medial rotation at 90 degrees flexion, Resisted elevation, thumb down, Resisted elevation, thumb up, Drop-arm lowering, Lateral rotation lag at the side, Lateral rotation lag at 90 degrees, Lateral rotation strength at 90 degrees scaption, Medial rotation lag (lift-off hold), Belly press, Bear hug, Shrug sign on active elevation, Resisted flexion, forearm supinated, Resisted supination with lateral rotation, Resisted elbow flexion at 120 degrees abduction, Axial load with rotation in elevation, Medial against lateral rotation strength at 90/80 degrees, Coracoid pressure pain compared with AC and lateral subacromial points, Isometric abduction at the side, Isometric lateral rotation at the side, Isometric medial rotation at the side, Isometric flexion, Isometric extension, Isometric adduction, Isometric elbow flexion and supination, Lateral rotation force by hand-held dynamometer, Medial rotation force by hand-held dynamometer, Abduction force by hand-held dynamometer, Lower trapezius strength, Middle trapezius strength, Serratus anterior strength, Rhythmic stabilisation of the GH joint in side-lying", "Hands off until cleared: Primary or secondary bone or soft tissue tumour; precaution: malignant or unknown bone lesion in the region: Neck motion with gentle overpressure, Cervical rotation then side-flexion (first-rib test), Lower neck segmental palpation C5 to C7, Segmental extension glide, bilateral, Segmental extension glide, unilateral, upper side, Segmental extension glide, unilateral, lower side, Segmental flexion glide, Segmental rotation, Segmental side-flexion, Central posteroanterior pressure, Unilateral posteroanterior pressure over the facet, Transverse pressure on the spinous process, Rib springing at the angle T3 to T7, Anteroposterior pressure at the costosternal joints, Lateral rib springing in side-lying, Passive thoracic rotation, whole region, Passive thoracic side-flexion over a roll, Thoracic distraction, Cervicothoracic extension glide, bilateral, Cervicothoracic extension glide, unilateral, Cervicothoracic flexion glide, Cervicothoracic segmental rotation, Cervicothoracic segmental side-flexion, Cervicothoracic posteroanterior pressure, Cervicothoracic transverse pressure, First-rib caudal glide, First-rib spring on breathing out, Second-rib glide, Passive scapular elevation, Passive scapular depression, Passive scapular protraction, Passive scapular retraction, Passive upward rotation, Passive downward rotation, Passive posterior tilt, Passive anterior tilt, Passive lateral (external) rotation of the blade, Passive medial (internal) rotation of the blade, Diagonal: anterior elevation, Diagonal: posterior depression, Diagonal: posterior elevation, Diagonal: anterior depression, Scapular lift from the thorax, Scapular circles, crepitus and quality, Medial clavicle inferior-lateral glide, Medial clavicle superior-medial glide, Medial clavicle anterior glide, Medial clavicle posterior glide, Posterior rotation of the clavicle with scapular depression and retraction, Anterior rotation of the clavicle with scapular protraction, Lateral traction of the clavicle, SC anterior stability stress, Costoclavicular ligament stress (girdle elevation hold), SC motion felt during passive arm elevation, Acromion anterior glide on fixed clavicle, Acromion posterior glide on fixed clavicle, Lateral clavicle inferior glide (spring), Lateral clavicle anteroposterior glide, AC distraction through the arm, Clavicle rotation on fixed scapula, Conoid ligament stress (scapula lateral rotation with clavicle held), Trapezoid ligament stress (scapula medial rotation with clavicle held), Passive GH flexion, scapula held, Passive GH abduction, scapula held, Passive lateral rotation at the side, Passive lateral rotation at 45 degrees abduction, Passive lateral rotation at 90 degrees abduction, Passive medial rotation at 90 degrees abduction, scapula held, Passive medial rotation in side-lying on the tested side, 90 degrees flexion, Passive hand behind back, Passive horizontal adduction, scapula held, Passive horizontal abduction, Passive extension, Low flexion test (medial rotation at 60 degrees flexion), Passive total elevation, girdle free, Combined end-range (abduction, rotation swept) position, Lateral rotation and abduction with scapula free then held, Contract-relax then re-measure lateral rotation and abduction, Posterior glide in the resting position, Posterior glide at 90 degrees flexion, Posterior glide in end-range abduction and lateral rotation, Anterior glide in the resting position, Anterior glide at 90 degrees abduction with lateral rotation, Inferior glide in the resting position, Inferior glide at 90 degrees abduction or end range, Longitudinal caudad along the humerus, Lateral distraction in the treatment plane, Lateral distraction in flexion, Posterior-superior and anterior-inferior diagonal glides, Compression with small glide, Capsule stress: arm neutral, lateral rotation, Capsule stress: arm neutral, medial rotation, Capsule stress: arm neutral, inferior pull, Capsule stress: 45 degrees abduction, lateral rotation, Capsule stress: 90 degrees abduction, lateral rotation, Capsule stress: 90 degrees abduction, medial rotation, Capsule stress: 90 degrees flexion, lateral rotation, Capsule stress: 90 degrees flexion, medial rotation, Capsule stress: extension, lateral rotation, Capsule stress: extension, medial rotation, Capsule stress: horizontal adduction, medial rotation"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Next test: Active lateral rotation at the side, left, side-lying, 30 s. Tells most about frozen shoulder (global capsular contracture) (36% now, 62% if 20 degrees or more lost, 19% if not)", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "Rest of the examination (first 12 of 27 steps)", "items": [], "columns": ["Procedure, in order", "Where", "Position", "Time"], "rows": [["Light touch C4 to T2 and deltoid patch", "left", "side-lying", "60 s"], ["Active extension", "left", "side-lying", "30 s"], ["Active thoracic rotation", "left", "side-lying", "45 s"], ["Active abduction in side-lying from the side to overhead", "left", "side-lying", "30 s"], ["Bicipital groove palpation", "left", "side-lying", "10 s"], ["Coracoid palpation", "left", "side-lying", "10 s"], ["Greater tuberosity and supraspinatus insertion palpation", "left", "side-lying", "10 s"], ["Infraspinatus and teres minor muscle palpation", "left", "side-lying", "20 s"], ["Posterior joint line palpation", "left", "side-lying", "10 s"], ["Latissimus, teres major and axillary fold palpation", "left", "side-lying", "15 s"], ["Pectoralis minor palpation", "left", "side-lying", "15 s"], ["Upper trapezius and levator palpation", "left", "side-lying", "20 s"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Time", "16 min"], ["Changes of position", "2"], ["Left out", "168 procedures"]], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "cautions", "heading": "Cautions", "blocks": [{"kind": "list", "text": "", "items": ["Supports licensed clinicians and supervised students; it does not diagnose and does not decide.", "Emergency and referral rules come first. If in doubt, stop and refer.", "Thrust techniques need their own screening and the person''s consent.", "Local law, professional codes, scope of practice and data-protection rules prevail.", "Probabilities depend on evidence that is often weak; every figure says whether it was read, recalled or is common practice."], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "quiet"}, {"id": "origin", "heading": "Program and evidence", "blocks": [{"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Program", "Endfeel 0.1.0"], ["Evidence release", "4b1c288cea92"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Labels: read = seen at the address given; memory = recalled, not checked; practice = common practice or judgement, no publication. Numbers in square brackets are the sources below.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "quiet"}], "sources": [{"number": 1, "citation": "Primary-care red flags for the shoulder, summarising Rangan 2015 and Murphy & Bintcliffe BMJ 2023;382:p1255", "address": "https://nursing-notebook.com/simplepage.cfm?ID=x2023071084948560864&linkID=82813"}, {"number": 2, "citation": "Best-practice table: possible contraindications to manipulation or mobilisation. J Altern Complement Med 2019", "address": "https://chiro.org/Graphics_Box_RESEARCH/GRAPHICS_19/BEST_PRACTICES/Table_9.html"}, {"number": 3, "citation": "Common practice of the trade", "address": ""}, {"number": 4, "citation": "Computed by the mechanical shoulder of this program from mechanical_changes.csv, mechanical_tests.csv and the anatomy they rest on (endfeel links)", "address": ""}, {"number": 5, "citation": "common practice of the trade, no publication", "address": ""}, {"number": 6, "citation": "Desjardins-Charbonneau 2015", "address": "https://doi.org/10.2519/jospt.2015.5455"}, {"number": 7, "citation": "Satpute 2022 J Man Manip Ther 30:13-32", "address": "https://doi.org/10.1080/10669817.2021.1955181"}, {"number": 8, "citation": "Page 2016 Cochrane CD012224", "address": "https://doi.org/10.1002/14651858.CD012224"}], "footer": "Supports licensed clinicians; does not diagnose. Emergency and referral rules come first. Local rules prevail.", "release": "4b1c288cea92", "program_version": "0.1.0", "written_at": "2026-11-25 09:01 UTC", "language": "en"}','4b1c288cea92','0.1.0',NULL);
CREATE TABLE staff (
	id VARCHAR(36) NOT NULL, 
	name VARCHAR(80) NOT NULL, 
	role VARCHAR(16) NOT NULL, 
	supervisor VARCHAR(36), 
	password TEXT NOT NULL, 
	must_choose BOOLEAN NOT NULL, 
	totp VARCHAR(64), 
	totp_step INTEGER, 
	failures INTEGER NOT NULL, 
	locked_until DATETIME, 
	created_at DATETIME NOT NULL, 
	left_at DATETIME, 
	CONSTRAINT pk_staff PRIMARY KEY (id), 
	CONSTRAINT ck_staff_role CHECK (role IS NULL OR role IN ('therapist', 'assistant', 'student', 'lead', 'administrator')), 
	CONSTRAINT fk_staff_supervisor_staff FOREIGN KEY(supervisor) REFERENCES staff (id), 
	CONSTRAINT uq_staff_name UNIQUE (name)
);
CREATE TABLE story (
	number INTEGER NOT NULL, 
	person_id VARCHAR(36) NOT NULL, 
	episode_id VARCHAR(36) NOT NULL, 
	at DATETIME NOT NULL, 
	label VARCHAR(200) NOT NULL, 
	age INTEGER, 
	sex VARCHAR(10), 
	dominant VARCHAR(5), 
	side VARCHAR(5), 
	onset VARCHAR(10), 
	weeks DOUBLE, 
	irritability VARCHAR(10), 
	areas JSON NOT NULL, 
	story TEXT NOT NULL, 
	CONSTRAINT pk_story PRIMARY KEY (number), 
	CONSTRAINT ck_story_sex CHECK (sex IS NULL OR sex IN ('female', 'male', 'other')), 
	CONSTRAINT ck_story_dominant CHECK (dominant IS NULL OR dominant IN ('right', 'left')), 
	CONSTRAINT ck_story_side CHECK (side IS NULL OR side IN ('right', 'left')), 
	CONSTRAINT ck_story_onset CHECK (onset IS NULL OR onset IN ('trauma', 'sudden', 'gradual', 'overuse', 'unknown')), 
	CONSTRAINT ck_story_irritability CHECK (irritability IS NULL OR irritability IN ('low', 'moderate', 'high')), 
	CONSTRAINT fk_story_person_id_person FOREIGN KEY(person_id) REFERENCES person (id) ON DELETE CASCADE, 
	CONSTRAINT fk_story_episode_id_episode FOREIGN KEY(episode_id) REFERENCES episode (id) ON DELETE CASCADE
);
CREATE TABLE turn (
	number INTEGER NOT NULL, 
	visit_id VARCHAR(36) NOT NULL, 
	position VARCHAR(12) NOT NULL, 
	at DATETIME NOT NULL, 
	CONSTRAINT pk_turn PRIMARY KEY (number), 
	CONSTRAINT ck_turn_position CHECK (position IS NULL OR position IN ('standing', 'sitting', 'side_lying', 'supine', 'prone')), 
	CONSTRAINT fk_turn_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id) ON DELETE CASCADE
);
INSERT INTO "turn" VALUES(1,'808ef9e8-4aea-42a0-a789-0a2a0064e107','side_lying','2026-11-25 09:00:53.000000');
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
INSERT INTO "verdict_override" VALUES(1,'808ef9e8-4aea-42a0-a789-0a2a0064e107','urgent','{"malignancy": "urgent"}','A known lipoma, seen last week.','A. Therapist','2026-11-25 09:01:05.000000');
CREATE TABLE "visit" (
	id VARCHAR(36) NOT NULL, 
	episode_id VARCHAR(36) NOT NULL, 
	opened_at DATETIME NOT NULL, 
	position VARCHAR(12) NOT NULL, 
	CONSTRAINT pk_visit PRIMARY KEY (id), 
	CONSTRAINT fk_visit_episode_id_episode FOREIGN KEY(episode_id) REFERENCES episode (id) ON DELETE CASCADE, 
	CONSTRAINT ck_visit_position CHECK (position IS NULL OR position IN ('standing', 'sitting', 'side_lying', 'supine', 'prone'))
);
INSERT INTO "visit" VALUES('458cf00b-5af1-430a-86ee-b159f638be40','28900977-ede8-47c1-9d7c-67c92ca41905','2026-11-25 09:00:03.000000','sitting');
INSERT INTO "visit" VALUES('808ef9e8-4aea-42a0-a789-0a2a0064e107','89d870f7-c11e-4f14-be5c-7ffda6857355','2026-11-25 09:00:42.000000','sitting');
CREATE TABLE wish (
	number INTEGER NOT NULL, 
	visit_id VARCHAR(36) NOT NULL, 
	procedure VARCHAR(60) NOT NULL, 
	wish VARCHAR(8) NOT NULL, 
	at DATETIME NOT NULL, 
	CONSTRAINT pk_wish PRIMARY KEY (number), 
	CONSTRAINT ck_wish_wish CHECK (wish IS NULL OR wish IN ('must', 'never', 'next', 'none')), 
	CONSTRAINT fk_wish_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id) ON DELETE CASCADE
);
INSERT INTO "wish" VALUES(1,'458cf00b-5af1-430a-86ee-b159f638be40','hawkins','never','2026-11-25 19:00:00');
CREATE INDEX ix_screen_answer_visit_id ON screen_answer (visit_id);
CREATE INDEX ix_verdict_override_visit_id ON verdict_override (visit_id);
CREATE INDEX ix_addendum_note_id ON addendum (note_id);
CREATE TRIGGER signed_note_no_update BEFORE UPDATE ON signed_note BEGIN SELECT RAISE(ABORT, 'rows of signed_note are never changed'); END;
CREATE TRIGGER addendum_no_update BEFORE UPDATE ON addendum BEGIN SELECT RAISE(ABORT, 'rows of addendum are never changed'); END;
CREATE TRIGGER screen_answer_no_update BEFORE UPDATE ON screen_answer BEGIN SELECT RAISE(ABORT, 'rows of screen_answer are never changed'); END;
CREATE TRIGGER verdict_override_no_update BEFORE UPDATE ON verdict_override BEGIN SELECT RAISE(ABORT, 'rows of verdict_override are never changed'); END;
CREATE INDEX ix_episode_person_id ON episode (person_id);
CREATE INDEX ix_visit_episode_id ON visit (episode_id);
CREATE TRIGGER signed_note_no_replace BEFORE INSERT ON signed_note FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE id = NEW.id OR visit_id = NEW.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of signed_note are never changed'); END;
CREATE TRIGGER addendum_no_replace BEFORE INSERT ON addendum FOR EACH ROW WHEN EXISTS (SELECT 1 FROM addendum WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'rows of addendum are never changed'); END;
CREATE TRIGGER screen_answer_no_replace BEFORE INSERT ON screen_answer FOR EACH ROW WHEN EXISTS (SELECT 1 FROM screen_answer WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'rows of screen_answer are never changed'); END;
CREATE TRIGGER verdict_override_no_replace BEFORE INSERT ON verdict_override FOR EACH ROW WHEN EXISTS (SELECT 1 FROM verdict_override WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'rows of verdict_override are never changed'); END;
CREATE TRIGGER screen_answer_closed BEFORE INSERT ON screen_answer FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = NEW.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of screen_answer are never changed'); END;
CREATE TRIGGER verdict_override_closed BEFORE INSERT ON verdict_override FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = NEW.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of verdict_override are never changed'); END;
CREATE INDEX ix_turn_visit_id ON turn (visit_id);
CREATE TRIGGER turn_no_update BEFORE UPDATE ON turn FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of turn are never changed'); END;
CREATE TRIGGER turn_no_replace BEFORE INSERT ON turn FOR EACH ROW WHEN EXISTS (SELECT 1 FROM turn WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'rows of turn are never changed'); END;
CREATE TRIGGER turn_closed BEFORE INSERT ON turn FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = NEW.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of turn are never changed'); END;
CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'rows of entry are never changed'); END;
CREATE TRIGGER entry_no_replace BEFORE INSERT ON entry FOR EACH ROW WHEN EXISTS (SELECT 1 FROM entry WHERE id = NEW.id OR (visit_id = NEW.visit_id AND sequence = NEW.sequence)) BEGIN SELECT RAISE(ABORT, 'rows of entry are never changed'); END;
CREATE TRIGGER entry_closed BEFORE INSERT ON entry FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = NEW.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of entry are never changed'); END;
CREATE INDEX ix_story_person_id ON story (person_id);
CREATE INDEX ix_story_episode_id ON story (episode_id);
CREATE TRIGGER entry_kept BEFORE DELETE ON entry FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) BEGIN SELECT RAISE(ABORT, 'rows of entry are never changed'); END;
CREATE TRIGGER screen_answer_kept BEFORE DELETE ON screen_answer FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) BEGIN SELECT RAISE(ABORT, 'rows of screen_answer are never changed'); END;
CREATE TRIGGER turn_kept BEFORE DELETE ON turn FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) BEGIN SELECT RAISE(ABORT, 'rows of turn are never changed'); END;
CREATE TRIGGER verdict_override_kept BEFORE DELETE ON verdict_override FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) BEGIN SELECT RAISE(ABORT, 'rows of verdict_override are never changed'); END;
CREATE TRIGGER visit_kept BEFORE DELETE ON visit FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM episode WHERE episode.id = OLD.episode_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM episode WHERE episode.id = OLD.episode_id)) BEGIN SELECT RAISE(ABORT, 'rows of visit are never changed'); END;
CREATE TRIGGER story_kept BEFORE DELETE ON story FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = OLD.person_id) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = OLD.person_id) BEGIN SELECT RAISE(ABORT, 'rows of story are never changed'); END;
CREATE TRIGGER episode_kept BEFORE DELETE ON episode FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = OLD.person_id) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = OLD.person_id) BEGIN SELECT RAISE(ABORT, 'rows of episode are never changed'); END;
CREATE TRIGGER person_kept BEFORE DELETE ON person FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = OLD.id) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = OLD.id) BEGIN SELECT RAISE(ABORT, 'rows of person are never changed'); END;
CREATE TRIGGER person_no_update BEFORE UPDATE ON person FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of person are never changed'); END;
CREATE TRIGGER person_no_replace BEFORE INSERT ON person FOR EACH ROW WHEN EXISTS (SELECT 1 FROM person WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'rows of person are never changed'); END;
CREATE TRIGGER episode_no_update BEFORE UPDATE ON episode FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of episode are never changed'); END;
CREATE TRIGGER episode_no_replace BEFORE INSERT ON episode FOR EACH ROW WHEN EXISTS (SELECT 1 FROM episode WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'rows of episode are never changed'); END;
CREATE TRIGGER visit_no_update BEFORE UPDATE ON visit FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of visit are never changed'); END;
CREATE TRIGGER visit_no_replace BEFORE INSERT ON visit FOR EACH ROW WHEN EXISTS (SELECT 1 FROM visit WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'rows of visit are never changed'); END;
CREATE TRIGGER story_no_update BEFORE UPDATE ON story FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of story are never changed'); END;
CREATE TRIGGER story_no_replace BEFORE INSERT ON story FOR EACH ROW WHEN EXISTS (SELECT 1 FROM story WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'rows of story are never changed'); END;
CREATE TRIGGER purge_no_update BEFORE UPDATE ON purge FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of purge are never changed'); END;
CREATE TRIGGER purge_no_replace BEFORE INSERT ON purge FOR EACH ROW WHEN EXISTS (SELECT 1 FROM purge WHERE person_id = NEW.person_id) BEGIN SELECT RAISE(ABORT, 'rows of purge are never changed'); END;
CREATE INDEX ix_wish_visit_id ON wish (visit_id);
CREATE TRIGGER wish_no_update BEFORE UPDATE ON wish FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of wish are never changed'); END;
CREATE TRIGGER wish_no_replace BEFORE INSERT ON wish FOR EACH ROW WHEN EXISTS (SELECT 1 FROM wish WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'rows of wish are never changed'); END;
CREATE TRIGGER wish_closed BEFORE INSERT ON wish FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = NEW.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of wish are never changed'); END;
CREATE TRIGGER wish_kept BEFORE DELETE ON wish FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) BEGIN SELECT RAISE(ABORT, 'rows of wish are never changed'); END;
CREATE INDEX ix_chart_area_visit_id ON chart_area (visit_id);
CREATE TRIGGER chart_area_no_update BEFORE UPDATE ON chart_area FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of chart_area are never changed'); END;
CREATE TRIGGER chart_area_no_replace BEFORE INSERT ON chart_area FOR EACH ROW WHEN EXISTS (SELECT 1 FROM chart_area WHERE number = NEW.number OR id = NEW.id) BEGIN SELECT RAISE(ABORT, 'rows of chart_area are never changed'); END;
CREATE TRIGGER chart_area_closed BEFORE INSERT ON chart_area FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = NEW.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of chart_area are never changed'); END;
CREATE TRIGGER chart_area_kept BEFORE DELETE ON chart_area FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) BEGIN SELECT RAISE(ABORT, 'rows of chart_area are never changed'); END;
CREATE INDEX ix_outcome_answer_visit_id ON outcome_answer (visit_id);
CREATE TRIGGER outcome_answer_no_update BEFORE UPDATE ON outcome_answer FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of outcome_answer are never changed'); END;
CREATE TRIGGER outcome_answer_no_replace BEFORE INSERT ON outcome_answer FOR EACH ROW WHEN EXISTS (SELECT 1 FROM outcome_answer WHERE number = NEW.number OR id = NEW.id) BEGIN SELECT RAISE(ABORT, 'rows of outcome_answer are never changed'); END;
CREATE TRIGGER outcome_answer_closed BEFORE INSERT ON outcome_answer FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = NEW.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of outcome_answer are never changed'); END;
CREATE TRIGGER outcome_answer_kept BEFORE DELETE ON outcome_answer FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) BEGIN SELECT RAISE(ABORT, 'rows of outcome_answer are never changed'); END;
CREATE INDEX ix_preference_visit_id ON preference (visit_id);
CREATE TRIGGER preference_no_update BEFORE UPDATE ON preference FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of preference are never changed'); END;
CREATE TRIGGER preference_no_replace BEFORE INSERT ON preference FOR EACH ROW WHEN EXISTS (SELECT 1 FROM preference WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'rows of preference are never changed'); END;
CREATE TRIGGER preference_closed BEFORE INSERT ON preference FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = NEW.visit_id) BEGIN SELECT RAISE(ABORT, 'rows of preference are never changed'); END;
CREATE TRIGGER preference_kept BEFORE DELETE ON preference FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) OR EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)) BEGIN SELECT RAISE(ABORT, 'rows of preference are never changed'); END;
CREATE INDEX ix_document_addendum_document_id ON document_addendum (document_id);
CREATE TRIGGER signed_document_no_update BEFORE UPDATE ON signed_document FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of signed_document are never changed'); END;
CREATE TRIGGER signed_document_no_replace BEFORE INSERT ON signed_document FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_document WHERE id = NEW.id OR (visit_id = NEW.visit_id AND kind = NEW.kind AND recipient = NEW.recipient)) BEGIN SELECT RAISE(ABORT, 'rows of signed_document are never changed'); END;
CREATE TRIGGER document_addendum_no_update BEFORE UPDATE ON document_addendum FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of document_addendum are never changed'); END;
CREATE TRIGGER document_addendum_no_replace BEFORE INSERT ON document_addendum FOR EACH ROW WHEN EXISTS (SELECT 1 FROM document_addendum WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'rows of document_addendum are never changed'); END;
CREATE INDEX ix_audit_person_id ON audit (person_id);
CREATE INDEX ix_consent_person_id ON consent (person_id);
CREATE TRIGGER audit_no_update BEFORE UPDATE ON audit FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of audit are never changed'); END;
CREATE TRIGGER audit_no_delete BEFORE DELETE ON audit FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of audit are never changed'); END;
CREATE TRIGGER audit_no_replace BEFORE INSERT ON audit FOR EACH ROW WHEN EXISTS (SELECT 1 FROM audit WHERE number = NEW.number OR place = NEW.place) BEGIN SELECT RAISE(ABORT, 'rows of audit are never changed'); END;
CREATE TRIGGER audit_chained BEFORE INSERT ON audit FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM audit_head WHERE place = NEW.place - 1 AND hash = NEW.previous) BEGIN SELECT RAISE(ABORT, 'rows of audit are never changed, and each follows the one before it'); END;
CREATE TRIGGER audit_head_no_delete BEFORE DELETE ON audit_head FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of audit_head are never changed'); END;
CREATE TRIGGER audit_head_no_replace BEFORE INSERT ON audit_head FOR EACH ROW WHEN EXISTS (SELECT 1 FROM audit_head) BEGIN SELECT RAISE(ABORT, 'rows of audit_head are never changed'); END;
CREATE TRIGGER audit_head_onwards BEFORE UPDATE ON audit_head FOR EACH ROW WHEN NEW.id <> OLD.id OR NEW.place <> OLD.place + 1 OR NOT EXISTS (SELECT 1 FROM audit WHERE place = NEW.place AND hash = NEW.hash) BEGIN SELECT RAISE(ABORT, 'the end of the audit only goes on to the next row'); END;
CREATE TRIGGER consent_no_update BEFORE UPDATE ON consent FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of consent are never changed'); END;
CREATE TRIGGER consent_no_replace BEFORE INSERT ON consent FOR EACH ROW WHEN EXISTS (SELECT 1 FROM consent WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'rows of consent are never changed'); END;
CREATE TRIGGER signed_note_kept BEFORE DELETE ON signed_note FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id) AND purge.kept_until IS NOT NULL) BEGIN SELECT RAISE(ABORT, 'rows of signed_note are never changed'); END;
CREATE TRIGGER addendum_kept BEFORE DELETE ON addendum FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = (SELECT signed_note.visit_id FROM signed_note WHERE signed_note.id = OLD.note_id)) AND purge.kept_until IS NOT NULL) BEGIN SELECT RAISE(ABORT, 'rows of addendum are never changed'); END;
CREATE TRIGGER signed_document_kept BEFORE DELETE ON signed_document FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id) AND purge.kept_until IS NOT NULL) BEGIN SELECT RAISE(ABORT, 'rows of signed_document are never changed'); END;
CREATE TRIGGER document_addendum_kept BEFORE DELETE ON document_addendum FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = (SELECT signed_document.visit_id FROM signed_document WHERE signed_document.id = OLD.document_id)) AND purge.kept_until IS NOT NULL) BEGIN SELECT RAISE(ABORT, 'rows of document_addendum are never changed'); END;
CREATE TRIGGER consent_kept BEFORE DELETE ON consent FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = OLD.person_id) BEGIN SELECT RAISE(ABORT, 'rows of consent are never changed'); END;
CREATE TRIGGER purge_unsigned BEFORE INSERT ON purge FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = NEW.person_id) AND (NEW.rule IS NULL OR NEW.kept_until IS NULL OR NEW.kept_until > NEW.at) BEGIN SELECT RAISE(ABORT, 'rows of purge are never changed'); END;
CREATE TRIGGER purge_no_document BEFORE INSERT ON purge FOR EACH ROW WHEN EXISTS (SELECT 1 FROM signed_document JOIN visit ON visit.id = signed_document.visit_id JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = NEW.person_id) AND (NEW.rule IS NULL OR NEW.kept_until IS NULL OR NEW.kept_until > NEW.at) BEGIN SELECT RAISE(ABORT, 'rows of purge are never changed'); END;
CREATE INDEX ix_passkey_staff_id ON passkey (staff_id);
CREATE INDEX ix_recovery_code_staff_id ON recovery_code (staff_id);
CREATE INDEX ix_sign_in_staff_id ON sign_in (staff_id);
CREATE INDEX ix_break_glass_person_id ON break_glass (person_id);
CREATE INDEX ix_presented_visit_id ON presented (visit_id);
CREATE INDEX ix_class_case_class_id ON class_case (class_id);
CREATE INDEX ix_class_member_class_id ON class_member (class_id);
CREATE INDEX ix_confirmed_outcome_episode_id ON confirmed_outcome (episode_id);
CREATE TRIGGER confirmed_outcome_no_update BEFORE UPDATE ON confirmed_outcome FOR EACH ROW WHEN 1 BEGIN SELECT RAISE(ABORT, 'rows of confirmed_outcome are never changed'); END;
CREATE TRIGGER confirmed_outcome_no_replace BEFORE INSERT ON confirmed_outcome FOR EACH ROW WHEN EXISTS (SELECT 1 FROM confirmed_outcome WHERE number = NEW.number OR id = NEW.id) BEGIN SELECT RAISE(ABORT, 'rows of confirmed_outcome are never changed'); END;
CREATE TRIGGER confirmed_outcome_kept BEFORE DELETE ON confirmed_outcome FOR EACH ROW WHEN NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = (SELECT episode.person_id FROM episode WHERE episode.id = OLD.episode_id)) BEGIN SELECT RAISE(ABORT, 'rows of confirmed_outcome are never changed'); END;
COMMIT;
