"""What goes to the bench and out to readers: the drawn sheet, the steps, the table, the yields."""
