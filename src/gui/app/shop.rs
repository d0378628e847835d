//! The shop's own files: what changes here goes into them, and what somebody else changes in them is taken over.

use super::App;
use crate::gui::shelf::words;
use crate::gui::state::Weight;
use crate::gui::tasks::Task;
use crate::job::Shop;
use crate::language;
use crate::library::UserLibrary;
use crate::numbers::DecimalSign;
use crate::shop_files::{Change, Kept, Rates, ShopFile};
use crate::words::library::file_fault;
use crate::words::rates as rates_words;
use egui::Context;
use std::sync::Arc;

impl App {
    /// The shop's rates and habits.
    pub fn rates(&self) -> &Rates {
        &self.rates
    }

    /// Saves a change, on the thread that does nothing else.
    pub(super) fn keep(&mut self, change: Change) {
        let file = change.file();
        if self.shelf.path(file).is_none() {
            if !self.forget {
                let reason = say!("this user has no folder for data of programs (HOME is not set)");
                self.tell_unkept(file, reason);
            }
            return;
        }
        self.shelf.change(change);
        self.ask_task(Task::Keep {
            file,
            shelf: self.shelf.clone(),
            library: Arc::clone(&self.base),
        });
        self.own.is_safe = self.shelf.is_safe(ShopFile::Library);
    }

    /// Saves the rates where they are no longer those of the file.
    pub(super) fn keep_rates(&mut self) {
        self.rates.learns = self.learning.on;
        self.rates.machine.clone_from(&self.learning.machine);
        if self.rates == self.rates_in_file {
            return;
        }
        let from = std::mem::replace(&mut self.rates_in_file, self.rates.clone());
        self.keep(Change::Rates {
            from: Box::new(from),
            to: Box::new(self.rates.clone()),
        });
    }

    /// The decimal sign that the shop has chosen, or that of its language where there is but one.
    pub(super) fn decimal_sign(&self) -> Option<DecimalSign> {
        let of_language = language::now().has_comma().then_some(DecimalSign::Comma);
        self.rates.sign.or(of_language)
    }

    /// Numbers are written as the shop types them.
    pub(super) fn write_decimals(&self) {
        language::write_decimals(match self.rates.sign {
            Some(sign) => sign == DecimalSign::Comma,
            None => language::now().has_comma(),
        });
    }

    /// Speaks the language of the shop, or the usual one. What was put into words before is done again.
    pub(super) fn speak(&mut self) {
        let language = self.rates.language.unwrap_or(self.usual_language);
        if language == language::now() {
            return;
        }
        language::speak(language);
        self.write_decimals();
        self.shown.banner = None;
        self.estimate_all();
    }

    /// What was changed in the rates of a job is changed for the shop; other drawings follow where they stood at the
    /// shop's value.
    pub(super) fn change_shop(&mut self, from: &Shop, to: &Shop) {
        if from == to {
            return;
        }
        let before = self.rates.shop.clone();
        self.rates.shop.take_changes(from, to);
        self.follow_rates(&before);
        self.keep_rates();
    }

    /// Open drawings go from earlier rates to those of now; they are estimated anew, but for the one in front, which
    /// whoever changed it estimates.
    fn follow_rates(&mut self, before: &Shop) {
        let (now, front) = (self.rates.shop.clone(), self.front);
        for k in (0..self.files.len()).filter(|k| *k != front) {
            let shop = &mut self.files[k].job.shop;
            let old = shop.clone();
            shop.follow(before, &now);
            if *shop != old {
                self.front = k;
                self.estimate();
            }
        }
        self.front = front;
    }

    pub(super) fn take_kept(&mut self, file: ShopFile, result: Result<Kept, String>) {
        let words = words(file);
        match result {
            Ok(kept) => {
                self.told_unkept.retain(|(f, _)| *f != file);
                if let Some(watch) = &mut self.watch {
                    watch.look_at_new_folders();
                }
                if let Some(aside) = &kept.aside {
                    self.say(
                        say!(
                            "{words} were kept in a file of which not all was understood. It is put aside as {}, as it \
                             was before this change.",
                            aside.display()
                        ),
                        Weight::Note,
                    );
                }
                if !kept.overruled.is_empty() {
                    self.say(
                        say!(
                            "{words} had been changed elsewhere meanwhile, at {}. Your change came later and stands.",
                            kept.overruled.join(", ")
                        ),
                        Weight::Note,
                    );
                }
                if kept.missed > 0 {
                    self.say(
                        say!(
                            "{words} had been changed elsewhere: {} that you changed here are not there any more. Look at the \
                             table as it is now.",
                            crate::words::style::count(kept.missed, say!("row"), say!("rows"))
                        ),
                        Weight::Fault,
                    );
                }
                // With another change on its way, that one brings what lies there then.
                if !self.shelf.is_changing(file) {
                    self.take_over(file, &kept.bytes);
                }
            }
            Err(reason) => self.tell_unkept(file, &reason),
        }
        self.own.is_safe = self.shelf.is_safe(ShopFile::Library);
    }

    /// Told once, until it works again or is another reason.
    fn tell_unkept(&mut self, file: ShopFile, reason: &str) {
        let told = (file, reason.to_owned());
        if self.told_unkept.contains(&told) {
            return;
        }
        self.told_unkept.push(told);
        let place = self.shelf.path(file);
        let place = place.map_or_else(String::new, |p| say!(" in {}", p.display()));
        self.say(
            say!(
                "{} could not be saved{place}: {reason}. What you see is in force, but would be lost at the end. Make \
                 room there, or save it as a file elsewhere.",
                words(file)
            ),
            Weight::Fault,
        );
    }

    /// Looks whether somebody else has changed the files: when the system says so, and when the window comes to the
    /// front, because not every system says so.
    pub(super) fn look_for_changes(&mut self, ctx: &Context) {
        let Some(watch) = &self.watch else { return };
        let in_front = ctx.input(|i| i.focused);
        let came = in_front && !self.in_front;
        self.in_front = in_front;
        if watch.has_changed() || came {
            self.ask_task(Task::Look(self.shelf.clone()));
        }
    }

    /// What lies in a file is put in force, where it is another than what is in force.
    pub(super) fn take_over(&mut self, file: ShopFile, bytes: &[u8]) {
        match file {
            ShopFile::Cuts => {
                if self.learning.follow(bytes, &self.base) {
                    self.fit_cuts();
                }
            }
            ShopFile::Rates => match Rates::parse(bytes, &self.base) {
                Ok((rates, faults)) => {
                    self.take_rates(rates);
                    if let Some(fault) = faults.first() {
                        let text = say!("Your rates: {}", rates_words::fault(fault));
                        self.say(text, Weight::Fault);
                    }
                }
                Err(e) => {
                    let reason = rates_words::file_fault(&e);
                    let text = say!(
                        "Your rates were changed elsewhere and cannot be used now. {reason} Those from before stay in force."
                    );
                    self.say(text, Weight::Fault);
                }
            },
            ShopFile::Quote => self.take_stationery(bytes),
            ShopFile::Library => {
                match UserLibrary::from_bytes(bytes) {
                    Ok(own) if own == *self.own.own() => {}
                    Ok(own) => match self.adopt(&own) {
                        Ok(()) => {
                            let wrong = self.own.wrong().to_vec();
                            self.own.change(own, wrong);
                            self.own.touched = false;
                            self.say(
                            say!("Your library was changed elsewhere; it is in force here as well."),
                            Weight::Note,
                        );
                        }
                        Err(reason) => self.say(reason, Weight::Fault),
                    },
                    Err(e) => {
                        let reason = file_fault(&e);
                        let text = say!(
                            "Your library was changed elsewhere and cannot be used now. {reason} The one from before stays in force."
                        );
                        self.say(text, Weight::Fault);
                    }
                }
            }
        }
    }

    /// A file of rates was dropped or opened: it takes the place of the shop's rates.
    pub(super) fn bring_rates(&mut self, name: &str, bytes: &[u8]) {
        let refused = match Rates::parse(bytes, &self.base) {
            Ok((rates, faults)) if faults.is_empty() => {
                let in_file = self.rates_in_file.clone();
                self.take_rates(rates);
                self.rates_in_file = in_file;
                self.keep_rates();
                self.say(say!("{name}: the rates in it are yours now."), Weight::Note);
                return;
            }
            Ok((_, faults)) => faults.first().map(rates_words::fault).unwrap_or_default(),
            Err(e) => rates_words::file_fault(&e),
        };
        self.say(
            say!("{name} was not imported. {refused} Your rates stay as they are."),
            Weight::Fault,
        );
    }

    /// Rates from elsewhere.
    fn take_rates(&mut self, rates: Rates) {
        if rates == self.rates {
            self.rates_in_file = rates;
            return;
        }
        let before = self.rates.shop.clone();
        self.rates_in_file = rates.clone();
        self.rates = rates;
        self.learning.on = self.rates.learns;
        self.learning.machine.clone_from(&self.rates.machine);
        if before != self.rates.shop {
            self.follow_rates(&before);
            if let Some(file) = self.files.get_mut(self.front) {
                file.job.shop.follow(&before, &self.rates.shop);
                self.estimate();
            }
        }
        self.put_in_force();
    }
}
