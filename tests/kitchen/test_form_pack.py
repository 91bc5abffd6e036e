"""The forms' template pack: every question has its label, its help and its errors tied to it."""

from html.parser import HTMLParser

import pytest
from crispy_forms.helper import FormHelper
from crispy_forms.layout import (
    HTML,
    ButtonHolder,
    Column,
    Div,
    Field,
    Fieldset,
    Hidden,
    Layout,
    MultiField,
    Row,
    Submit,
)
from crispy_forms.utils import render_crispy_form
from django import forms

CUTS = [("intact", "intact"), ("minced", "minced"), ("bound", "bound")]


class EveryWidget(forms.Form):
    lot = forms.CharField(help_text="As the supplier wrote it.")
    celsius = forms.DecimalField(
        label="Core",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "data-pad": "", "data-unit": "°C"}),
    )
    grams = forms.IntegerField(required=False)
    probe = forms.ChoiceField(choices=[("p1", "Probe 1"), ("p2", "Probe 2")])
    cut = forms.ChoiceField(choices=CUTS, widget=forms.RadioSelect, help_text="Before it was bagged.")
    doubts = forms.MultipleChoiceField(
        choices=[("f", "floating"), ("o", "overlapping")], widget=forms.CheckboxSelectMultiple, required=False
    )
    rinsed = forms.BooleanField(help_text="In cold running water.")
    note = forms.CharField(widget=forms.Textarea, required=False)
    at = forms.DateTimeField(widget=forms.DateTimeInput(attrs={"type": "datetime-local"}))
    use_by = forms.DateField(widget=forms.DateInput(attrs={"type": "date"}))
    log = forms.FileField(required=False)
    secret = forms.CharField(widget=forms.PasswordInput)
    entry_id = forms.CharField(widget=forms.HiddenInput)

    def clean(self):
        raise forms.ValidationError("The bag was already taken out.")


class Tree(HTMLParser):
    """The tags of a page with their attributes and words, and a check that every tag is closed."""

    VOID = frozenset({"input", "br", "img", "path"})

    def __init__(self, html):
        super().__init__()
        self.tags, self.open = [], []
        self.feed(html)
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        element = {"tag": tag, "words": "", **dict(attrs)}
        self.tags.append(element)
        if tag not in self.VOID:
            self.open.append(element)

    def handle_endtag(self, tag):
        assert self.open.pop()["tag"] == tag

    def handle_data(self, data):
        for element in self.open:
            element["words"] += data.strip()

    def all(self, tag=None, **wanted):
        return [e for e in self.tags if tag in (None, e["tag"]) and wanted.items() <= e.items()]

    def one(self, tag=None, **wanted):
        (found,) = self.all(tag, **wanted)
        return found


def draw(data=None, layout=None, form_class=EveryWidget):
    form = form_class(data)
    helper = FormHelper(form)
    helper.attrs = {"data-once": ""}
    if layout is not None:
        helper.layout = layout
    helper.add_input(Submit("keep", "Keep", css_class="large"))
    return Tree(render_crispy_form(form, helper))


SINGLE = [name for name in EveryWidget.base_fields if name not in ("cut", "doubts", "entry_id")]


@pytest.mark.parametrize("name", SINGLE)
def test_each_question_has_one_label_that_points_at_it(name):
    tree = draw()
    tree.one(id=f"id_{name}", name=name)
    label = tree.one("label", **{"for": f"id_{name}"})
    assert label["words"].startswith(EveryWidget(None)[name].label)


@pytest.mark.parametrize("name", ["cut", "doubts"])
def test_choices_are_a_group_with_a_legend_and_a_label_each(name):
    tree = draw()
    group = tree.one("fieldset", id=f"div_id_{name}")
    assert EveryWidget(None)[name].label in group["words"]
    for index, (value, words) in enumerate(EveryWidget.base_fields[name].choices):
        assert tree.one("input", id=f"id_{name}_{index}")["value"] == value
        assert tree.one("label", **{"for": f"id_{name}_{index}"})["words"] == words
    assert (group.get("role") == "radiogroup") == (name == "cut")


def test_only_what_may_stay_empty_is_called_optional():
    tree = draw()
    optional = {name for name in SINGLE if "optional" in tree.one("label", **{"for": f"id_{name}"})["words"]}
    assert optional == {"grams", "note", "log"}


def test_help_is_tied_to_its_question():
    tree = draw()
    assert tree.one(id="id_lot")["aria-describedby"] == "id_lot_helptext"
    assert tree.one(id="id_lot_helptext")["words"] == "As the supplier wrote it."
    assert tree.one("fieldset", id="div_id_cut")["aria-describedby"] == "id_cut_helptext"
    assert tree.one(id="id_cut_helptext")["words"] == "Before it was bagged."
    assert tree.one(id="id_rinsed")["aria-describedby"] == "id_rinsed_helptext"


def test_the_unit_stands_behind_its_figure():
    (unit,) = draw().all("span", **{"class": "unit"})
    assert unit["words"] == "°C"


def test_errors_are_tied_to_their_questions_and_named_on_top():
    tree = draw({"lot": "", "celsius": "hot", "cut": "shredded", "doubts": "f"})
    for name in ("lot", "celsius", "at", "use_by", "probe", "rinsed", "secret"):
        element = tree.one(id=f"id_{name}")
        assert element["aria-invalid"] == "true"
        assert f"id_{name}_error" in element["aria-describedby"].split()
        assert tree.one(id=f"id_{name}_error")["words"]
    group = tree.one("fieldset", id="div_id_cut")
    assert group["aria-describedby"].split() == ["id_cut_helptext", "id_cut_error"]
    assert "aria-invalid" not in tree.one(id="id_note")
    top = tree.one("div", role="alert")
    assert "The bag was already taken out." in top["words"]
    assert "Entry id: This field is required." in top["words"]  # a hidden one has no place of its own
    assert {"#id_lot", "#id_celsius"} <= {link["href"] for link in tree.all("a")}


def test_every_id_that_is_pointed_at_exists_once():
    tree = draw({"lot": ""})
    ids = [element["id"] for element in tree.tags if "id" in element]
    assert len(ids) == len(set(ids))
    for element in tree.tags:
        pointed = [element[name].removeprefix("#") for name in ("for", "href") if name in element]
        assert set(pointed + element.get("aria-describedby", "").split()) <= set(ids)


def test_what_was_typed_comes_back():
    tree = draw({"lot": "<L & 7>", "celsius": "hot", "cut": "bound", "doubts": ["o"], "note": "n"})
    assert tree.one(id="id_lot")["value"] == "<L & 7>"
    assert tree.one(id="id_celsius")["value"] == "hot"
    assert "checked" in tree.one(id="id_cut_2")
    assert "checked" not in tree.one(id="id_cut_0")
    assert "checked" in tree.one(id="id_doubts_1")
    assert tree.one("textarea")["words"] == "n"


def test_the_form_itself():
    tree = draw()
    form = tree.one("form")
    assert (form["method"], form["enctype"], form["class"]) == ("post", "multipart/form-data", "inputs")
    assert "data-once" in form
    button = tree.one("button")
    assert (button["type"], button["name"], button["value"], button["words"]) == (
        "submit",
        "keep",
        "Keep",
        "Keep",
    )
    assert button["class"].split() == ["large"]
    assert tree.one("input", name="entry_id")["type"] == "hidden"
    assert not any("style" in element for element in tree.tags)


def test_layouts_hold_what_they_are_given():
    layout = Layout(
        Fieldset("Bag", Row(Column("lot"), Field("celsius", wrapper_class="wide"))),
        Div(MultiField("Piece", "cut", "grams"), css_id="piece", css_class="stack"),
        HTML("<p>Then rinse.</p>"),
        ButtonHolder(Submit("more", "Keep and next", css_class="quiet"), Hidden("step", "2")),
    )
    tree = draw(layout=layout)
    assert [legend["words"] for legend in tree.all("legend")] == ["Bag", "Piece", "Cut"]
    assert "wide" in tree.one(id="div_id_celsius")["class"]
    assert tree.one(id="piece")["class"] == "stack"
    assert tree.one("button", name="more")["class"].split() == ["quiet"]
    assert tree.one("input", name="step")["value"] == "2"
    assert not tree.all(id="id_note")


def test_a_set_of_forms_numbers_its_questions():
    from django.template import Context, Template

    Pair = forms.formset_factory(EveryWidget, extra=2)
    page = Template("{% load crispy_forms_tags %}{% crispy formset helper %}{{ formset|crispy }}")
    tree = Tree(page.render(Context({"formset": Pair(), "helper": FormHelper()})))
    assert len(tree.all(id="id_form-0-lot")) == len(tree.all(id="id_form-1-lot")) == 2
    assert tree.one("form")["enctype"] == "multipart/form-data"
    assert len(tree.all("input", name="form-TOTAL_FORMS")) == 2
