//! Long work: on a thread of its own, with progress, a way to stop it, and a result on the main loop.

use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use async_channel::Sender;
use gtk::glib;

/// What a job tells the main loop.
#[derive(Debug)]
pub enum News<P, T> {
    /// How far the work is.
    Progress(P),
    /// What came of it; the last that is told.
    Done(T),
}

/// The work's end: tells how far it is, and learns whether it must stop.
#[derive(Debug)]
pub struct Teller<P, T> {
    news: Sender<News<P, T>>,
    stopped: Arc<AtomicBool>,
}

impl<P, T> Teller<P, T> {
    /// Tells how far the work is. `Break`: it was stopped, or nobody listens any more.
    pub fn tell(&self, progress: P) -> ControlFlow<()> {
        if self.stopped.load(Ordering::Relaxed) || self.news.try_send(News::Progress(progress)).is_err() {
            return ControlFlow::Break(());
        }
        ControlFlow::Continue(())
    }

    /// Whether the work must stop.
    pub fn is_stopped(&self) -> bool {
        self.stopped.load(Ordering::Relaxed)
    }
}

/// Work that was started.
#[derive(Debug, Clone)]
pub struct Job(Arc<AtomicBool>);

impl Job {
    /// Does `work` on a thread. `then` hears on the main loop of its progress and its result, until it breaks; the work
    /// then learns that nobody listens.
    pub fn start<P: Send + 'static, T: Send + 'static>(
        work: impl FnOnce(&Teller<P, T>) -> T + Send + 'static,
        mut then: impl FnMut(News<P, T>) -> ControlFlow<()> + 'static,
    ) -> Self {
        let (news, heard) = async_channel::unbounded();
        let stopped = Arc::new(AtomicBool::new(false));
        let teller = Teller { news, stopped: Arc::clone(&stopped) };
        std::thread::spawn(move || {
            let done = work(&teller);
            // A widget that is gone needs no answer.
            let _ = teller.news.send_blocking(News::Done(done));
        });
        glib::spawn_future_local(async move {
            while let Ok(news) = heard.recv().await {
                if then(news).is_break() {
                    return;
                }
            }
        });
        Self(stopped)
    }

    /// Asks the work to stop. It says in its result whether it did.
    pub fn stop(&self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// Does `work` on a thread, and `then` on the main loop with what came of it.
pub fn off_loop<T: Send + 'static>(
    work: impl FnOnce() -> T + Send + 'static,
    then: impl FnOnce(T) + 'static,
) {
    let mut then = Some(then);
    Job::start(
        move |_: &Teller<(), T>| work(),
        move |news| {
            if let (News::Done(done), Some(then)) = (news, then.take()) {
                then(done);
            }
            ControlFlow::Break(())
        },
    );
}

#[cfg(test)]
mod tests {
    use std::cell::RefCell;
    use std::rc::Rc;
    use std::sync::mpsc;

    use super::*;

    /// Counts until it is told to stop, or to 1000 if that never comes.
    fn count(teller: &Teller<u32, u32>, begin: &mpsc::Receiver<()>) -> u32 {
        let _ = begin.recv();
        for n in 0.. {
            if n == 1000 || teller.tell(n).is_break() {
                return n;
            }
        }
        0
    }

    fn turn_until(done: impl Fn() -> bool) {
        while !done() {
            glib::MainContext::default().iteration(true);
        }
    }

    #[gtk::test]
    fn progress_comes_in_order_and_the_result_last() {
        let told = Rc::new(RefCell::new(Vec::new()));
        let heard = Rc::clone(&told);
        let (begin, wait) = mpsc::channel();
        begin.send(()).unwrap();
        Job::start(
            move |t| count(t, &wait),
            move |news| {
                heard.borrow_mut().push(match news {
                    News::Progress(n) => (false, n),
                    News::Done(n) => (true, n),
                });
                ControlFlow::Continue(())
            },
        );
        turn_until(|| told.borrow().last().is_some_and(|(done, _)| *done));
        let told = told.borrow();
        assert_eq!(told.len(), 1001);
        assert!(told.iter().enumerate().all(|(i, (_, n))| i == *n as usize));
    }

    #[gtk::test]
    fn a_job_that_is_stopped_says_so_in_its_result() {
        let done = Rc::new(RefCell::new(None));
        let heard = Rc::clone(&done);
        let (begin, wait) = mpsc::channel();
        let job = Job::start(
            move |t| count(t, &wait),
            move |news| {
                if let News::Done(n) = news {
                    heard.replace(Some(n));
                }
                ControlFlow::Continue(())
            },
        );
        job.stop();
        begin.send(()).unwrap();
        turn_until(|| done.borrow().is_some());
        assert_eq!(*done.borrow(), Some(0));
    }

    #[gtk::test]
    fn the_work_learns_that_nobody_listens() {
        let (begin, wait) = mpsc::channel();
        let (tx, counted) = mpsc::channel();
        let gone = Rc::new(RefCell::new(false));
        let seen = Rc::clone(&gone);
        Job::start(
            move |t: &Teller<u32, u32>| {
                let _ = t.tell(0);
                let n = count(t, &wait);
                let _ = tx.send(n);
                n
            },
            move |_| {
                seen.replace(true);
                ControlFlow::Break(())
            },
        );
        turn_until(|| *gone.borrow());
        begin.send(()).unwrap();
        assert_eq!(counted.recv().unwrap(), 0);
    }
}
