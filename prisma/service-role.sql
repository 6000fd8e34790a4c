-- What a weaker role needs to run the service: it owns nothing, so it cannot switch triggers off, change a table or empty one.
-- As the owner of the database, after each migration:  psql -v role=ferrule_service -f prisma/service-role.sql
GRANT USAGE ON SCHEMA public TO :"role";
GRANT SELECT ON ALL TABLES IN SCHEMA public TO :"role";
GRANT INSERT ON ALL TABLES IN SCHEMA public TO :"role";
REVOKE INSERT ON "_prisma_migrations" FROM :"role";
-- Records: added, and forgotten by the trigger's leave.
GRANT UPDATE ("data", "salt", "forgotten_by") ON "ledger" TO :"role";
-- What is as it is now, each change with its record.
GRANT UPDATE ON "firm", "depot", "machine_model", "machine", "staff", "defect", "tree", "sealed_chain", "audit_pack", "legal_hold", "allocation", "campaign" TO :"role";
GRANT UPDATE, DELETE ON "session", "refresh_token", "sign_in_failure", "known_device", "idempotency_key", "inspection_draft", "staff_depot", "allocation_line" TO :"role";
