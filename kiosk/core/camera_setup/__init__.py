"""What is known of light, backdrop and lens before anybody sits down."""
