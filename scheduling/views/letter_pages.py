"""One's letters: which, when and to whom; a test letter; the two acts that a letter links to."""

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST

from fleet.access import signed_in
from fleet.refusal import Refusal
from scheduling.actions.choose_letters import answer_notice, choose_letters, stop_letters
from scheduling.forms.letter_form import LetterForm
from scheduling.models import Notice
from scheduling.notices.signed_links import ANSWER, STOP, notice_of
from scheduling.notices.trial_letter import send_trial
from scheduling.notices.wishes import may_be_off


@require_http_methods(["GET", "HEAD", "POST"])
def letters(request: HttpRequest) -> HttpResponse:
    """Show what a person chose of their letters, and keep what they choose."""
    person = signed_in(request)
    form = LetterForm(person, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            choose_letters(person, form.wishes(), by=person, now=timezone.now())
        except Refusal as no:
            form.add_error(no.field if no.field in form.fields else None, no.sentence)
        else:
            messages.success(request, "Your letters come as you chose.")
            return redirect("letters")
    return render(request, "scheduling/letters.html", {"form": form, "address": person.email})


@require_POST
def test_letter(request: HttpRequest) -> HttpResponse:
    """Send a test letter to the person's own address, and say what the mail server said."""
    person = signed_in(request)
    if not person.email:
        messages.error(request, "You have no e-mail address; enter one in Set-up first.")
        return redirect("letters")
    answer = send_trial(person.email, timezone.now())
    (messages.success if answer.taken else messages.error)(request, answer.said)
    return redirect("letters")


@never_cache
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def answer(request: HttpRequest, token: str) -> HttpResponse:
    """Let the reader of a warning say that it is in hand; to open it changes nothing."""
    notice = _found(token, ANSWER)
    done = notice.answered_at is not None
    if request.method == "POST":
        answer_notice(notice, timezone.now())
        done = True
    return render(request, "scheduling/letter_answer.html", {"notice": notice, "done": done})


@never_cache
@csrf_exempt  # RFC 8058: the mail program posts it, without cookie and without our form
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def stop(request: HttpRequest, token: str) -> HttpResponse:
    """Send a reader no more letters of a kind; to open it changes nothing (RFC 8058)."""
    notice = _found(token, STOP)
    done = False
    if request.method == "POST":
        done = stop_letters(notice.person, notice.kind, timezone.now())
    context = {"notice": notice, "done": done, "may_stop": may_be_off(notice.kind)}
    return render(request, "scheduling/letter_stop.html", context)


def _found(token: str, purpose: str) -> Notice:
    notice = notice_of(token, purpose)
    if notice is None:
        raise Http404("This address has run out, or part of it is missing.")
    return notice


paths = [
    path("letters/", letters, name="letters"),
    path("letters/test/", test_letter, name="letter-test"),
    path("letters/in-hand/<str:token>/", answer, name="letter-answer"),
    path("letters/stop/<str:token>/", stop, name="letter-stop"),
]
