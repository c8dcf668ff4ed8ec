"""What people take away: drawings, tables and files."""
