//! A seat at the desk: the whole desk in a harness without window or graphics, wishes granted as the windows do.

use chalkbeam::desk::{BoardRequest, Session, Stop, Wish, set_theme, ui};
use chalkbeam::garment::{Command, Garment, OpenGarment};
use chalkbeam::pattern::Pattern;
use egui::accesskit::Role;
use egui::{Key, Modifiers, Pos2, Vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use egui_kittest::{Harness, Node};
use std::path::Path;

/// What the harness keeps between frames.
pub(crate) struct Kept {
    pub(crate) session: Session,
    pub(crate) board: Option<BoardRequest>,
}

/// A seat at the desk.
pub(crate) struct Seat(Harness<'static, Kept>);

/// The room that the harness leaves around what it shows, in points.
const MARGIN: f32 = 8.0;

impl Seat {
    /// Opens a garment on a desk of so many points.
    pub(crate) fn with_size(open: OpenGarment, size: (f32, f32)) -> Self {
        let kept = Kept { session: Session::new(open), board: None };
        let size = Vec2::new(size.0 + 2.0 * MARGIN, size.1 + 2.0 * MARGIN);
        let mut harness = Harness::builder()
            .with_size(size)
            .with_max_steps(12)
            .with_context_setup(set_theme)
            .build_ui_state(frame, kept);
        harness.run();
        Self(harness)
    }

    /// Opens a garment on a desk of the usual size.
    pub(crate) fn at(open: OpenGarment) -> Self {
        Self::with_size(open, (1366.0, 768.0))
    }

    pub(crate) fn session(&self) -> &Session {
        &self.0.state().session
    }

    pub(crate) fn board(&self) -> &BoardRequest {
        self.0.state().board.as_ref().unwrap()
    }

    /// Has PDF files read by the program itself, which these tests are not.
    pub(crate) fn read_pdf_by(&mut self, program: std::path::PathBuf) {
        self.0.state_mut().session.desk.pdf_reader = Some(program);
    }

    pub(crate) fn press_with(&mut self, modifiers: Modifiers, key: Key) {
        self.0.key_press_modifiers(modifiers, key);
        self.0.run();
    }

    /// The place in the window at which a place of what the board shows is seen, in mm.
    pub(crate) fn on_mm(&self, (x, y): (f64, f64)) -> Pos2 {
        let unit = self.board().unit_mm;
        self.on_board((x / unit, y / unit))
    }

    /// Does what a wish or a key would do.
    pub(crate) fn grant(&mut self, wish: &Wish) {
        self.0.state_mut().session.grant(wish);
        self.0.run();
    }

    /// Changes the garment.
    pub(crate) fn perform(&mut self, command: &Command) {
        self.grant(&Wish::of(command.clone()));
    }

    /// Looks at the desk anew.
    pub(crate) fn look(&mut self) {
        self.0.run();
    }

    /// After how long the desk wants to be drawn again by itself.
    pub(crate) fn drawn_again_in(&self) -> std::time::Duration {
        let viewports = &self.0.output().viewport_output;
        viewports.values().map(|viewport| viewport.repaint_delay).min().unwrap_or(std::time::Duration::MAX)
    }

    /// Goes to a stop by its button on the way.
    pub(crate) fn go_to(&mut self, stop: Stop) {
        self.click(Role::Button, &format!("{}\n", stop.words()));
        assert_eq!(self.session().desk.stop, stop);
    }

    /// The one button, tick box or other thing with a label that begins so.
    pub(crate) fn find(&self, role: Role, begins: &str) -> Node<'_> {
        let found: Vec<_> =
            self.0.get_all_by_role(role).filter(|node| label(node).starts_with(begins)).collect();
        assert!(!found.is_empty(), "no {role:?} “{begins}” among {:?}", self.labels(role));
        found.into_iter().next().unwrap()
    }

    pub(crate) fn labels(&self, role: Role) -> Vec<String> {
        self.0.query_all_by_role(role).map(|node| label(&node)).collect()
    }

    pub(crate) fn click(&mut self, role: Role, begins: &str) {
        // Into view first: a click lands where it is seen.
        self.find(role, begins).scroll_to_me();
        self.0.run();
        self.find(role, begins).click();
        self.0.run();
    }

    /// Clicks the nth of several things with the same label.
    pub(crate) fn click_nth(&mut self, role: Role, words: &str, nth: usize) {
        let find = |harness: &Harness<'static, Kept>, act: &dyn Fn(&Node<'_>)| {
            let nodes: Vec<_> = harness.get_all_by_role(role).filter(|node| label(node) == words).collect();
            act(&nodes[nth]);
        };
        find(&self.0, &|node| node.scroll_to_me());
        self.0.run();
        find(&self.0, &|node| node.click());
        self.0.run();
    }

    /// Types into a field, over what stands there, without leaving it.
    pub(crate) fn type_into(&mut self, begins: &str, text: &str) {
        self.find(Role::TextInput, begins).scroll_to_me();
        self.0.run();
        self.find(Role::TextInput, begins).focus();
        self.0.run();
        self.0.key_press_modifiers(Modifiers::COMMAND, Key::A);
        self.0.run();
        if text.is_empty() {
            self.0.key_press(Key::Delete);
        } else {
            self.find(Role::TextInput, begins).type_text(text);
        }
        self.0.run();
    }

    pub(crate) fn press(&mut self, key: Key) {
        self.0.key_press(key);
        self.0.run();
    }

    /// Types into a field and enters it.
    pub(crate) fn enter(&mut self, begins: &str, text: &str) {
        self.type_into(begins, text);
        self.press(Key::Enter);
    }

    pub(crate) fn value(&self, begins: &str) -> String {
        self.find(Role::TextInput, begins).value().unwrap_or_default()
    }

    /// Every field: its name, its value, and the text in it that a reader can go through.
    pub(crate) fn fields(&self) -> Vec<(String, Option<String>, String)> {
        let told = |node: Node<'_>| {
            let node = node.accesskit_node();
            let runs = node.children().filter(|child| child.role() == Role::TextRun);
            let text = runs.filter_map(|run| run.data().value().map(ToOwned::to_owned)).collect();
            (node.label().unwrap_or_default(), node.value(), text)
        };
        self.0.query_all_by_role(Role::TextInput).map(told).collect()
    }

    /// What a screen reader is told besides of the buttons with these words.
    pub(crate) fn descriptions(&self, words: &str) -> Vec<String> {
        let by_role = [Role::Button, Role::CheckBox].map(|role| self.0.query_all_by_role(role));
        let short = by_role.into_iter().flatten().filter(|node| label(node) == words);
        short.map(|node| node.accesskit_node().description().unwrap_or_default()).collect()
    }

    /// Everything that is written anywhere on the desk.
    pub(crate) fn says(&self, part: &str) -> bool {
        let roles = [Role::Label, Role::Button, Role::CheckBox];
        roles.iter().any(|role| self.labels(*role).iter().any(|words| words.contains(part)))
    }

    pub(crate) fn hover(&mut self, role: Role, begins: &str) {
        self.find(role, begins).scroll_to_me();
        self.0.run();
        self.find(role, begins).hover();
        self.0.run();
    }

    pub(crate) fn hover_board(&mut self) {
        let middle = self.find(Role::Image, "board").rect().center();
        self.0.hover_at(middle);
        self.0.run();
    }

    /// The place in the window at which a place of the board, in its units, is seen.
    pub(crate) fn on_board(&self, place: (f64, f64)) -> Pos2 {
        let board = self.board();
        let seen = board.picture_from_plane.as_ref().unwrap().map(place.into()).unwrap();
        let scale = self.0.ctx.pixels_per_point();
        let corner = self.find(Role::Image, "board").rect().min;
        corner + Vec2::new(seen.x as f32, seen.y as f32) / scale
    }

    /// The place in the window at which a place of the surface, in mm, is seen: the cloth's edge tells the unit.
    pub(crate) fn on_surface(&self, (x, y): (f64, f64)) -> Pos2 {
        let extent = self.session().open.plan().cloth().unwrap().extent();
        let edge = self.board().scene.items.iter().find_map(|item| match &item.shape {
            chalkbeam::scene::Shape::Stroke(path) if item.meaning == chalkbeam::scene::Meaning::ClothEdge => {
                Some(path)
            }
            _ => None,
        });
        let first = edge.unwrap().segments().next().unwrap();
        let length = kurbo::ParamCurveArclen::arclen(&first, 1e-3);
        let sides = [extent.width(), extent.height()].map(|side| side / length);
        // The unit is at least a millimetre, so the side that fits is the one that was drawn.
        let other = edge.unwrap().segments().nth(1).unwrap();
        let ratio = kurbo::ParamCurveArclen::arclen(&other, 1e-3) / length;
        let as_drawn = (ratio - extent.height() / extent.width()).abs() < 1e-3;
        let unit = if as_drawn { sides[0] } else { sides[1] };
        self.on_board((x / unit, y / unit))
    }

    /// Draws once more.
    pub(crate) fn frame(&mut self) {
        self.0.run();
    }

    pub(crate) fn click_at(&mut self, at: Pos2) {
        self.0.hover_at(at);
        self.0.step();
        self.0.drag_at(at);
        self.0.drop_at(at);
        self.0.run();
    }

    /// Drags in several steps, as a hand does.
    pub(crate) fn drag(&mut self, from: Pos2, to: Pos2) {
        self.0.hover_at(from);
        self.0.step();
        self.0.drag_at(from);
        self.0.step();
        for step in 1..=5_u8 {
            self.0.hover_at(from.lerp(to, f32::from(step) / 5.0));
            self.0.step();
        }
        self.0.drop_at(to);
        self.0.run();
    }

    /// Where everything that is written or can be used stands, with its words.
    pub(crate) fn places(&self) -> Vec<(egui::Rect, String)> {
        let roles = [Role::Label, Role::Button, Role::CheckBox, Role::TextInput];
        let nodes = roles.iter().flat_map(|role| self.0.query_all_by_role(*role));
        nodes
            .map(|node| (node.rect(), label(&node)))
            .filter(|(rect, _)| rect.width() > 0.0 && rect.height() > 0.0)
            .collect()
    }
}

fn label(node: &Node<'_>) -> String {
    let node = node.accesskit_node();
    node.label().or_else(|| node.value()).unwrap_or_default()
}

fn frame(panel: &mut egui::Ui, kept: &mut Kept) {
    let mut wishes = Vec::new();
    kept.board = Some(ui(panel, &mut kept.session, egui::TextureId::default(), &mut wishes));
    if !wishes.is_empty() {
        wishes.iter().for_each(|wish| kept.session.grant(wish));
        panel.ctx().request_repaint();
    }
}

const PATTERN: &str = include_str!("../../demo-data/garden-coat.pattern.ron");

/// A garment of the demo's pattern, from the middle part of its text.
pub(crate) fn garment(text: &str) -> OpenGarment {
    let pattern = Pattern::parse(PATTERN, "garden-coat.pattern.ron").unwrap();
    let whole = format!(
        r#"(format: "chalkbeam garment", version: 1, name: "Test coat", pattern: "garden-coat.pattern.ron", size: "88", {text})"#
    );
    let path = Path::new("test.garment.ron");
    OpenGarment::new(Garment::parse(path, &whole, pattern).unwrap(), None)
}

pub(crate) fn demo() -> OpenGarment {
    chalkbeam::demo::garden_coat().unwrap()
}

/// Nothing but a pattern and a size.
pub(crate) fn empty() -> OpenGarment {
    garment("")
}

/// An alteration that can't be done, a place for a piece that there is not, tapes that fit no table.
pub(crate) fn broken() -> OpenGarment {
    garment(
        r##"
    alterations: [
        (id: 1, on: true, record: Lengthen(at: BalanceLine(line: "waist"), longer_by: "-900 mm")),
        (id: 2, on: true, record: Lengthen(at: BalanceLine(line: "nowhere"), longer_by: "10 mm")),
        (id: 3, on: true, record: Hem(longer_by: "0 mm")),
    ],
    cloths: { Cloth: (name: "short", width: "90 cm", length: "100 cm", colour: "#223366", nap: true) },
    lay: [
        (piece: "sleeve", copy: 1, at: (500.0, 500.0)),
        (piece: "front", copy: 1, at: (770.0, 490.0), turn_degrees: 180.0),
        (piece: "back", copy: 1, at: (-4000.0, 500.0)),
    ],
    aims: [(name: "table", measured: (
        picture_size: (1920, 1080),
        marks: [(picture: (96.0, 1026.0)), (picture: (1824.0, 1026.0)), (picture: (1824.0, 54.0)), (picture: (96.0, 54.0))],
        tapes: [
            (from: 0, to: 1, mm: 300.0), (from: 1, to: 2, mm: 300.0), (from: 2, to: 3, mm: 300.0),
            (from: 3, to: 0, mm: 300.0), (from: 0, to: 2, mm: 3000.0), (from: 1, to: 3, mm: 3000.0),
        ],
    ))],
    "##,
    )
}
