DROP TABLE attachments;
