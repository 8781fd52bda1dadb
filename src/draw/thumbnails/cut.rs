//! Places that a section shows.

use super::frame::{across, centred, show, wash};
use crate::draw::drafting::upright;
use crate::draw::section::CloseUp;
use crate::draw::svg::Sheet;
use crate::fit::check::Thumbnail;

pub(super) fn dial_and_hands(sheet: &mut Sheet, hint: Thumbnail) {
    match hint {
        Thumbnail::Seat => {
            let view = centred(13.75, 0.35, 90.0);
            show(sheet, CloseUp::Seat, &view);
            across(sheet, &view, (13.6, 13.8), 0.0, 140.0);
        }
        Thumbnail::Opening => {
            let view = centred(13.5, 0.35, 90.0);
            show(sheet, CloseUp::Seat, &view);
            across(sheet, &view, (13.1, 13.6), 0.0, 140.0);
        }
        Thumbnail::Hole => {
            let view = centred(0.0, 0.55, 85.0);
            show(sheet, CloseUp::Stack, &view);
            wash(sheet, &view, (0.8, 1.1), (0.0, 0.4));
            wash(sheet, &view, (-1.1, -0.8), (0.0, 0.4));
            across(sheet, &view, (0.8, 1.1), 0.4, 148.0);
        }
        Thumbnail::Post => {
            let view = centred(0.0, 1.5, 110.0);
            show(sheet, CloseUp::Stack, &view);
            across(sheet, &view, (-0.45, 0.45), 1.7, 24.0);
        }
        Thumbnail::Stack => {
            let view = centred(0.0, 1.25, 74.0);
            show(sheet, CloseUp::Stack, &view);
            for (low, high) in [(1.2, 1.55), (1.75, 2.1)] {
                wash(sheet, &view, (0.75, 2.2), (low, high));
                upright(sheet, view.x(1.75), view.y(high), view.y(low), true);
            }
        }
        Thumbnail::Crystal => {
            let view = centred(10.5, 1.9, 26.0);
            show(sheet, CloseUp::Whole, &view);
            wash(sheet, &view, (11.6, 12.4), (2.25, 2.9));
            upright(sheet, view.x(12.0), view.y(2.9), view.y(2.25), true);
        }
        _ => {
            let view = centred(12.6, 1.5, 40.0);
            show(sheet, CloseUp::Whole, &view);
            wash(sheet, &view, (12.4, 13.3), (1.55, 1.75));
            across(sheet, &view, (12.4, 13.36), 1.65, 24.0);
        }
    }
}

pub(super) fn case(sheet: &mut Sheet, hint: Thumbnail) {
    let view = match hint {
        Thumbnail::Bore => centred(13.4, -2.2, 42.0),
        Thumbnail::Back => centred(8.0, -4.3, 30.0),
        Thumbnail::Stem => centred(15.6, -1.6, 26.0),
        Thumbnail::Gasket => centred(15.0, 3.3, 52.0),
        _ => centred(17.2, 3.2, 36.0),
    };
    show(sheet, CloseUp::Whole, &view);
    match hint {
        Thumbnail::Bore => {
            wash(sheet, &view, (12.8, 13.0), (-4.4, -0.4));
            wash(sheet, &view, (13.7, 13.9), (-4.4, -0.4));
            across(sheet, &view, (13.7, 13.9), -2.6, 24.0);
        }
        Thumbnail::Back => {
            wash(sheet, &view, (0.0, 12.4), (-5.4, -4.6));
            upright(sheet, view.x(9.0), view.y(-4.6), view.y(-5.4), true);
        }
        Thumbnail::Stem => {
            sheet.line("xa", view.x(9.0), view.y(-1.9), view.x(20.4), view.y(-1.9));
            sheet.line("xa", view.x(13.2), view.y(-1.5), view.x(20.4), view.y(-1.5));
            upright(sheet, view.x(19.0), view.y(-1.5), view.y(-1.9), true);
        }
        Thumbnail::Gasket => across(sheet, &view, (14.8, 15.25), 3.5, 24.0),
        _ => across(sheet, &view, (16.2, 18.6), 3.4, 24.0),
    }
}
