//! Tests of the window, without a display: how it looks and what it does when it is used.

mod asks;
mod cards;
mod cards_fit;
mod client;
mod deeds;
mod dress;
mod driver;
mod figures;
mod files;
mod find;
mod habits;
mod icon;
mod keyboard;
mod layout;
mod looks;
mod many;
mod measure;
mod odd;
mod pictures;
mod price;
mod print;
mod raster;
mod recipes;
mod section;
mod site;
