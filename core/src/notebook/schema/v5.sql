-- A hole's row has its condition by a first look; null if there is none or it is in conflict.

ALTER TABLE hole ADD COLUMN condition TEXT;
