DROP TABLE calendar_feeds;
DROP TABLE booking_pitches;
DROP TABLE bookings;
