//! Routes a request to its page or form.

use crate::banners;
use crate::carrier::{Method, Request, Response};
use crate::form::{FormError, RejectedForm, back};
use crate::form_names::FormName;
use crate::notices::{self, Notice, with_notice};
use crate::page::{
    Answer, DRAFTS, FOLLOW, Head, ONCE, Page, STYLE, asset, made_picture, message_page, picture,
    redirect,
};
use crate::pages::runs::RunsOf;
use crate::pages::work_scope::WorkOf;
use crate::pages::{
    FormContext, bench, bolt_up, casting, casting_file, castings, devices, drawer, face, face_cut,
    face_setup, hole, hole_list, kit, limits, order, pair, photo, places, recent, reminders, runs,
    search, settings, sheet, sync, undo,
};
use crate::sync_backend::{NoSync, SyncBackend};
use holebook_core::length::Unit;
use holebook_core::notebook::{FaceId, Notebook, NotebookError, Opened, PhotoId, recording};
use holebook_core::photo::PhotoError;
use holebook_paper::PaperError;
use std::cell::Cell;
use std::str::FromStr;

/// Answers one request on a device that does not sync. Blocks while the notebook is read or
/// written; what it acknowledges is on disk.
pub fn answer(notebook: &Notebook, request: &Request) -> Response {
    answer_with(notebook, &NoSync, request)
}

/// Answers one request on a device that may sync. Blocks while the notebook is read or written, and
/// while it pairs with a shop computer; what it acknowledges is on disk.
pub fn answer_with(notebook: &Notebook, backend: &dyn SyncBackend, request: &Request) -> Response {
    let response = respond(notebook, backend, request);
    tracing::debug!(
        method = ?request.method,
        path = request.path,
        status = response.status,
        "request"
    );
    response
}

fn respond(notebook: &Notebook, backend: &dyn SyncBackend, request: &Request) -> Response {
    let parts: Vec<&str> = request.path.trim_start_matches('/').split('/').collect();
    let context = Context { notebook, backend };
    let answered = match request.method {
        Method::Get => asset_at(&request.path).map_or_else(
            || show_page(context, &parts, request, None),
            |asset| Ok(asset.into()),
        ),
        Method::Post => submit(context, &parts, request),
    };
    match answered.unwrap_or_else(|error| error.page().into()) {
        Answer::Ready(response) => response,
        Answer::Page(page) => page.render(&context.head(&parts, request)),
    }
}

/// The notebook and how this device syncs.
#[derive(Clone, Copy)]
struct Context<'a> {
    notebook: &'a Notebook,
    backend: &'a dyn SyncBackend,
}

impl Context<'_> {
    /// What the page's frame shows. An unreadable notebook is reported by the page itself.
    fn head(self, parts: &[&str], request: &Request) -> Head {
        let not_synced = self
            .backend
            .shows_unsynced_count()
            .then(|| self.notebook.entries_not_synced().ok());
        Head {
            offers_sync: sync::is_offered(self.backend),
            not_synced: not_synced.flatten().unwrap_or(0),
            shell_script: request.shell.as_ref().map(|shell| shell.script.clone()),
            banners: banners::of_page(parts, request),
        }
    }
}

/// The style sheet or script at an address.
fn asset_at(path: &str) -> Option<Response> {
    if path == "/style.css" {
        return Some(asset("text/css; charset=utf-8", STYLE));
    }
    let shared = [
        ONCE,
        DRAFTS,
        FOLLOW,
        hole_list::SCRIPT,
        runs::SCRIPT,
        hole::KEYPAD,
        hole::outline::SCRIPT,
    ];
    let mut scripts = shared.into_iter().chain(photo::SCRIPTS);
    let (_, script) = scripts.find(|(at, _)| *at == path)?;
    Some(asset("text/javascript; charset=utf-8", script))
}

/// The page at an address, with a form that was rejected, if any.
fn show_page(
    context: Context<'_>,
    parts: &[&str],
    request: &Request,
    rejected: Option<&RejectedForm<'_>>,
) -> Result<Answer, PageError> {
    let Context { notebook, backend } = context;
    let settings = notebook.settings()?;
    let notice = request
        .param(notices::PARAM)
        .filter(|_| rejected.is_none())
        .and_then(Notice::from_word);
    let undo = match notice {
        Some(_) => undo::offered(notebook, request)?,
        None => undo::Offer::Nothing,
    };
    let path = format!("/{}", parts.join("/"));
    let forms = FormContext {
        undo: &undo,
        path: &path,
        unit: settings.unit,
        no_name_set: settings.person.is_empty() && *parts != ["settings"],
        rejected,
        notice,
        shell: request.shell.as_ref(),
    };
    // Opening a form's address again, after a restart of the browser say, leads to its page.
    if let Some(form) = FormName::at(parts).filter(|_| rejected.is_none())
        && form != FormName::Settings
    {
        return Ok(redirect(&form.page_address(parts)).into());
    }
    if let Some((of, rest)) = work_of(parts)? {
        return show_work(notebook, of, rest, request, forms);
    }
    let page = match parts {
        [""] => castings::show(notebook, forms)?,
        ["search"] => search::show(notebook, request)?,
        ["bench"] => bench::index(),
        ["bench", tool] => {
            let tool = bench::Tool::at(tool).ok_or(PageError::NotFound)?;
            bench::show(tool, notebook, request)?
        }
        ["settings"] => settings::show(notebook, forms)?,
        ["drawer"] => drawer::show(notebook, forms)?,
        ["drawer", "wear"] => drawer::wear::show(notebook, forms)?,
        ["casting", casting, "runs", ..] => {
            show_runs(notebook, RunsOf::Casting(id(casting)?), &parts[3..], forms)?
        }
        ["face", face, "runs", ..] => {
            show_runs(notebook, RunsOf::Face(id(face)?), &parts[3..], forms)?
        }
        ["casting", casting] => casting::show(notebook, id(casting)?, forms)?,
        ["casting", casting, casting_file::NAME] => {
            let file = casting_file::download(notebook, id(casting)?, settings.unit)?;
            return Ok(file.into());
        }
        ["face", face] => face::show(notebook, id(face)?, request, forms)?,
        ["face", face, "setup"] => face_setup::show(notebook, id(face)?, forms)?,
        ["face", face, "alike"] => face_setup::alike::show(notebook, id(face)?, forms)?,
        ["face", face, "places"] => places::show(notebook, id(face)?, forms)?,
        ["face", face, "pattern"] => places::pattern::show(notebook, id(face)?, forms)?,
        ["face", face, "moves"] => places::moves::show(notebook, id(face)?, request, forms)?,
        ["face", face, file @ ("moves.csv" | "moves.dxf")] => {
            let file = places::moves::file(notebook, id(face)?, file, request, settings.unit)?;
            return Ok(file.ok_or(PageError::NotFound)?.into());
        }
        ["face", face, "heights"] => places::heights::show(notebook, id(face)?, request, forms)?,
        ["face", face, "bolt-up"] => bolt_up::show(notebook, id(face)?, request, forms)?,
        ["face", face, "bolt-up", "sheet"] => {
            let lubrication = bolt_up::lubrication(request);
            bolt_up::sheet::show(notebook, id(face)?, lubrication, forms)?
        }
        ["face", face, "sheet"] => sheet::show(notebook, id(face)?, forms)?,
        ["face", face, "record"] => sheet::show_record(notebook, id(face)?, forms)?,
        ["face", face, "sheet", file] => {
            let options = sheet::pdf_at(file, request, settings.unit);
            let options = options.ok_or(PageError::NotFound)?;
            return Ok(sheet::pdf(notebook, id(face)?, options)?.into());
        }
        ["photo", photo] => photo::show(notebook, id(photo)?, request, forms)?,
        ["photo", photo, "points"] => places::points::show(notebook, id(photo)?, forms)?,
        ["photo", photo, "straight"] => places::straight::show(notebook, id(photo)?, forms)?,
        ["photo", photo, "straight.jpg"] => {
            let picture = notebook.straightened(id(photo)?)?;
            return Ok(made_picture(picture.jpeg).into());
        }
        ["photo", photo, "find"] => photo::find::show(notebook, id(photo)?, forms)?,
        ["photo", photo, file] => return Ok(photo_file(notebook, id(photo)?, file)?.into()),
        ["hole", hole] => hole::show(notebook, id(hole)?, request, forms)?,
        ["hole", hole, "outline"] => {
            let page = hole::outline::show(notebook, id(hole)?, request, forms)?;
            match page {
                Some(page) => page,
                // It is marked in no photo.
                None => return Ok(redirect(&format!("/hole/{hole}")).into()),
            }
        }
        ["hole", hole, "log"] => {
            let before = request.param("before").map(id).transpose()?;
            hole::log::show(notebook, id(hole)?, before, forms)?
        }
        ["hole", hole, "conflict"] => {
            let fact = request.param("fact").and_then(hole::fact_of);
            let before = request.param("before").map(id).transpose()?;
            let fact = fact.ok_or(PageError::NotFound)?;
            let page = hole::show_conflict(notebook, id(hole)?, fact, before, forms)?;
            match page {
                Some(page) => page,
                // It was resolved meanwhile.
                None => return Ok(redirect(&format!("/hole/{hole}")).into()),
            }
        }
        ["sync"] if sync::is_offered(backend) => sync::show(notebook, backend, forms)?,
        ["sync", "file"] => {
            let file = sync::bundle::download(backend).ok_or(PageError::NotFound)?;
            return Ok(file.into());
        }
        ["pair"] => pair::show(backend, request, forms).ok_or(PageError::NotFound)?,
        ["devices"] => devices::show(backend, forms).ok_or(PageError::NotFound)?,
        _ => return Err(PageError::NotFound),
    };
    if let (Method::Get, Some(opened)) = (request.method, opened(parts)) {
        recent::remember(notebook, opened);
    }
    Ok(page.into())
}

/// What a page is about, for the list of what was opened last.
fn opened(parts: &[&str]) -> Option<Opened> {
    match parts {
        ["casting", id] => id.parse().ok().map(Opened::Casting),
        ["face", id] => id.parse().ok().map(Opened::Face),
        ["hole", id] => id.parse().ok().map(Opened::Hole),
        _ => None,
    }
}

/// What a page about the work is for, and the rest of its address; `None` for other pages.
fn work_of<'a>(parts: &'a [&'a str]) -> Result<Option<(WorkOf, &'a [&'a str])>, PageError> {
    let is_work = |word: &str| word == kit::WORD || word == order::WORD;
    Ok(match parts {
        ["casting", casting, word, ..] if is_work(word) => {
            Some((WorkOf::Casting(id(casting)?), &parts[2..]))
        }
        ["face", face, word, ..] if is_work(word) => Some((WorkOf::Face(id(face)?), &parts[2..])),
        [word, ..] if is_work(word) => Some((WorkOf::All, parts)),
        _ => None,
    })
}

/// The kit as a page or a file, or the order of the work.
fn show_work(
    notebook: &Notebook,
    of: WorkOf,
    rest: &[&str],
    request: &Request,
    forms: FormContext<'_>,
) -> Result<Answer, PageError> {
    Ok(match rest {
        [kit::WORD] => kit::show(notebook, of, forms)?.into(),
        [kit::WORD, form] => {
            let file = kit::download(notebook, of, form, forms.unit)?;
            file.ok_or(PageError::NotFound)?.into()
        }
        [order::WORD] => order::show(notebook, of, request, forms)?.into(),
        _ => return Err(PageError::NotFound),
    })
}

/// The list of tool runs, or the page of one tool.
fn show_runs(
    notebook: &Notebook,
    of: RunsOf,
    rest: &[&str],
    forms: FormContext<'_>,
) -> Result<Page, PageError> {
    let (word, hole) = match rest {
        [] => return Ok(runs::show(notebook, of, forms)?),
        [word] => (word, None),
        [word, hole] => (word, Some(id(hole)?)),
        _ => return Err(PageError::NotFound),
    };
    let page = runs::show_one(notebook, of, word, hole, forms)?;
    page.ok_or(PageError::NotFound)
}

fn photo_file(notebook: &Notebook, id: PhotoId, file: &str) -> Result<Response, PageError> {
    let photo = notebook.photo(id)?;
    let store = notebook.photos();
    let path = match file {
        "view.jpg" => store.view(&photo.hash),
        "thumb.jpg" => store.thumbnail(&photo.hash),
        "original" => Ok(store.original(&photo.hash)),
        _ => return Err(PageError::NotFound),
    };
    let kind = match file {
        "original" => store
            .format(&photo.hash)
            .map_err(NotebookError::from)?
            .media_type(),
        _ => "image/jpeg",
    };
    Ok(picture(kind, path.map_err(NotebookError::from)?))
}

/// Processes a form: redirects to the next page, or shows the form again with the error and what
/// was typed.
fn submit(context: Context<'_>, parts: &[&str], request: &Request) -> Result<Answer, PageError> {
    let form = FormName::at(parts).ok_or(PageError::NotFound)?;
    let unit = context.notebook.settings()?.unit;
    if let ["photo", photo, _] = parts {
        let forms = FormContext {
            path: &request.path,
            shell: request.shell.as_ref(),
            ..FormContext::plain(unit)
        };
        let photo = id(photo)?;
        return Ok(photo::submit(
            context.notebook,
            photo,
            form,
            request,
            forms,
        )?);
    }
    if form == FormName::Undo {
        return Ok(match undo::submit(context.notebook, request) {
            Ok(path) => redirect(&path).into(),
            Err(error) => show_rejected(context, form, &undo::page(request), request, error)?,
        });
    }
    let (processed, recorded) = recording(|| process(context, form, parts, request, unit));
    Ok(match processed? {
        Ok(path) => redirect(&undo::with_offer(&path, form, &recorded)).into(),
        Err(error) => {
            let page = match (form, back(request)) {
                (FormName::AsPlanned, Some(run)) => run.to_owned(),
                _ => form.page_address(parts),
            };
            show_rejected(context, form, &page, request, error)?
        }
    })
}

/// Shows the page of a form that was rejected, with the error and what was typed.
fn show_rejected(
    context: Context<'_>,
    form: FormName,
    page: &str,
    request: &Request,
    error: FormError,
) -> Result<Answer, PageError> {
    let rejected = RejectedForm {
        form: Some(form),
        request,
        message: error.message,
        field: error.field,
        questions: &error.questions,
        questions_drawn: Cell::default(),
    };
    let page: Vec<&str> = page.trim_start_matches('/').split('/').collect();
    Ok(match show_page(context, &page, request, Some(&rejected))? {
        Answer::Page(page) => page.with_status(422).into(),
        ready @ Answer::Ready(_) => ready,
    })
}

/// Processes a form; returns the address of the next page, or why the form was rejected.
fn process(
    context: Context<'_>,
    form: FormName,
    parts: &[&str],
    request: &Request,
    unit: Unit,
) -> Result<Result<String, FormError>, PageError> {
    let Context { notebook, backend } = context;
    Ok(match parts {
        ["settings"] => {
            settings::save(notebook, request).map(|()| with_notice("/", Notice::SettingsSaved))
        }
        ["settings", _] => limits::save(notebook, request, unit)
            .map(|()| with_notice("/settings", Notice::LimitsSaved)),
        ["casting"] => castings::add(notebook, request)
            .map(|id| with_notice(&format!("/casting/{id}"), Notice::CastingAdded)),
        ["casting", casting, _] => {
            let casting = id(casting)?;
            match form {
                FormName::EditCasting => casting::edit_casting(notebook, casting, request)
                    .map(|()| with_notice(&format!("/casting/{casting}"), Notice::Edited)),
                _ => casting::add_face(notebook, casting, request)
                    .map(|id| with_notice(&format!("/face/{id}"), Notice::FaceAdded)),
            }
        }
        ["face", face, "setup" | "alike", _] => {
            face_setup::submit(notebook, id(face)?, form, request, unit)
        }
        ["face", face, "places" | "pattern" | "moves" | "heights", _] => {
            places::submit(notebook, id(face)?, form, request, unit)
        }
        ["photo", photo, "points", _] => {
            places::points::submit(notebook, id(photo)?, form, request, unit)
        }
        ["face", face, "bolt-up", _] => bolt_up::submit(notebook, id(face)?, request, unit),
        ["face", face, _] => face_form(notebook, form, id(face)?, request, unit),
        ["hole", hole, _] => hole::submit(notebook, id(hole)?, form, request, unit),
        ["drawer", _] => drawer::submit(notebook, form, request, unit),
        ["sync", _] => sync::submit(backend, form, request).ok_or(PageError::NotFound)?,
        ["pair", _] => pair::submit(backend, form, request).ok_or(PageError::NotFound)?,
        ["devices", _] => devices::revoke(backend, request).ok_or(PageError::NotFound)?,
        _ => return Err(PageError::NotFound),
    })
}

fn face_form(
    notebook: &Notebook,
    form: FormName,
    face: FaceId,
    request: &Request,
    unit: Unit,
) -> Result<String, FormError> {
    let path = format!("/face/{face}");
    Ok(match form {
        FormName::EditFace => {
            face::edit_face(notebook, face, request)?;
            with_notice(&path, Notice::Edited)
        }
        FormName::PlanCut => {
            face_cut::plan(notebook, face, request, unit)?;
            with_notice(&path, Notice::CutPlanned)
        }
        FormName::Milled => {
            face_cut::milled(notebook, face, request, unit)?;
            with_notice(&path, Notice::Milled)
        }
        FormName::CorrectMilled => {
            face_cut::correct(notebook, face, request, unit)?;
            with_notice(&path, Notice::Corrected)
        }
        FormName::StrikeOutMilled => {
            face_cut::strike_out(notebook, face, request)?;
            with_notice(&path, Notice::StruckOut)
        }
        FormName::AddPhoto => {
            let (photo, notice) = face::add_photo(notebook, face, request)?;
            with_notice(&format!("/photo/{photo}"), notice)
        }
        FormName::FaceNote => {
            face::note(notebook, face, request)?;
            with_notice(&path, Notice::Note)
        }
        FormName::Remind => {
            reminders::remind(notebook, face, request)?;
            with_notice(back(request).unwrap_or(&path), Notice::Reminded)
        }
        FormName::FinishReminder => {
            reminders::finish(notebook, request)?;
            with_notice(back(request).unwrap_or(&path), Notice::ReminderDone)
        }
        _ => {
            let hole = face::add_hole(notebook, face, request)?;
            with_notice(&format!("/hole/{hole}"), Notice::HoleAdded)
        }
    })
}

/// Why there is no page.
enum PageError {
    /// Nothing has that address.
    NotFound,
    /// The notebook failed.
    Notebook(NotebookError),
    /// A sheet could not be made.
    Paper(PaperError),
}

impl From<PaperError> for PageError {
    fn from(error: PaperError) -> Self {
        match error {
            PaperError::Notebook(error) => Self::Notebook(error),
            other => Self::Paper(other),
        }
    }
}

impl From<NotebookError> for PageError {
    fn from(error: NotebookError) -> Self {
        Self::Notebook(error)
    }
}

impl PageError {
    fn page(self) -> Page {
        match self {
            Self::NotFound => message_page(
                404,
                "Page not found",
                "This notebook has no page at that address.",
            ),
            Self::Notebook(error @ NotebookError::NoSuch { .. }) => {
                message_page(404, "Not in this notebook", &error.to_string())
            }
            Self::Notebook(NotebookError::Photo(error)) if !is_storage_error(&error) => {
                message_page(404, "Photo not available", &error.to_string())
            }
            Self::Notebook(error) => message_page(500, "Notebook error", &error.to_string()),
            Self::Paper(error) => message_page(500, "No sheet", &error.to_string()),
        }
    }
}

/// Whether this computer's storage failed, not a photo that has not arrived yet or is unreadable.
fn is_storage_error(error: &PhotoError) -> bool {
    matches!(
        error,
        PhotoError::Storage { .. } | PhotoError::StorageFull { .. }
    )
}

/// Parses the id in a path.
fn id<T: FromStr>(text: &str) -> Result<T, PageError> {
    text.parse().map_err(|_| PageError::NotFound)
}
