//! The Log page: footage, score board, court pad, points, and the line that says the current point.

mod alone;
mod attach_bar;
mod board;
mod chips;
#[cfg(test)]
mod chosen_tests;
mod court_following;
#[cfg(test)]
mod court_following_tests;
mod court_lines;
mod court_over;
mod court_panel;
mod court_search;
mod court_seen;
#[cfg(test)]
mod court_tests;
mod courtside;
#[cfg(test)]
mod courtside_tests;
mod cuts_sign;
mod draw_bar;
mod draw_list;
mod hints;
mod line;
mod line_parts;
mod lit;
mod pad_card;
pub mod page;
#[cfg(test)]
mod page_tests;
mod picture_words;
mod players_row;
#[cfg(test)]
mod players_tests;
pub mod point_row;
mod points;
mod shown;
mod what_card;
#[cfg(test)]
mod what_tests;
mod work_row;
